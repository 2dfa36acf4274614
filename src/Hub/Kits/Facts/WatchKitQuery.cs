using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Watch a kit's page.</summary>
internal sealed record WatchKitQuery(int Version, KitId KitId, Caller Caller, string ConnectionId) : IHubRequest<WatchKitReply>, IValidated
{
    public int? ProtocolVersion => Version;

    public IReadOnlyList<string> Faults() => [];

    public IReadOnlyList<string> About => [$"kit {KitId}"];

    public WatchKitReply Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => $"watch kit {KitId}";
}

internal sealed class WatchKitHandler : IRequestHandler<WatchKitQuery, WatchKitReply>
{
    private readonly KitFacts _facts;
    private readonly Broadcaster _broadcaster;

    public WatchKitHandler(KitFacts facts, Broadcaster broadcaster)
    {
        _facts = facts;
        _broadcaster = broadcaster;
    }

    public async Task<WatchKitReply> Handle(WatchKitQuery request, CancellationToken cancellationToken)
    {
        var seesSessions = RightsTable.SeesSessions(request.Caller);

        // Before the reading: what changes in between is then told again rather than missed.
        _broadcaster.WatchKit(request.ConnectionId, request.KitId, seesSessions);
        if (await _facts.Read(request.KitId, cancellationToken) is { } view)
        {
            return new WatchKitReply(seesSessions ? view : KitViewForCare.WithoutSessions(view), null);
        }

        _broadcaster.LeaveKit(request.ConnectionId, request.KitId);
        return new WatchKitReply(null, KitRefusals.Unknown);
    }
}
