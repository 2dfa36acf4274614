using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Fleet;

/// <summary>Watch the fleet.</summary>
internal sealed record WatchFleetQuery(int Version, Caller Caller, string ConnectionId) : IHubRequest<WatchFleetReply>, IValidated
{
    public int? ProtocolVersion => Version;

    public IReadOnlyList<string> Faults() => [];

    public WatchFleetReply Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => "watch fleet";
}

internal sealed class WatchFleetHandler : IRequestHandler<WatchFleetQuery, WatchFleetReply>
{
    private readonly FleetFacts _fleet;
    private readonly Broadcaster _broadcaster;

    public WatchFleetHandler(FleetFacts fleet, Broadcaster broadcaster)
    {
        _fleet = fleet;
        _broadcaster = broadcaster;
    }

    public async Task<WatchFleetReply> Handle(WatchFleetQuery request, CancellationToken cancellationToken)
    {
        // Before the reading: what changes in between is then told again rather than missed.
        _broadcaster.WatchFleet(request.ConnectionId);
        return new WatchFleetReply(await _fleet.Open(cancellationToken), null);
    }
}
