using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Watch a kit's page.</summary>
internal sealed record WatchKitQuery(int Version, KitId KitId, Caller Caller, string ConnectionId) : IHubRequest<WatchKitReply>, IValidated
{
    public int? ProtocolVersion => Version;

    public Refusal? MayAsk() => Rights.AnyOf(Caller, Roles.Coordinator, Roles.Clinician, Roles.Owner);

    public IReadOnlyList<string> Faults() => [];

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
        var seesSessions = Sessions.Board.SeesSessions((PersonCaller)request.Caller);

        // Before the reading: what changes in between is then told again rather than missed.
        _broadcaster.WatchKit(request.ConnectionId, request.KitId, seesSessions);
        if (await _facts.Read(request.KitId, cancellationToken) is { } view)
        {
            return new WatchKitReply(seesSessions ? view : KitRights.WithoutSessions(view), null);
        }

        _broadcaster.LeaveKit(request.ConnectionId, request.KitId);
        return new WatchKitReply(null, KitRefusals.Unknown);
    }
}
