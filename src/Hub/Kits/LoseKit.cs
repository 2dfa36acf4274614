using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits;

/// <summary>Answer of <see cref="LoseKit"/>: whether the kit is out of reach now.</summary>
internal sealed record KitLost(bool Gone);

/// <summary>A connection of a kit ended.</summary>
internal sealed record LoseKit(Caller Caller, string ConnectionId) : IHubRequest<KitLost>
{
    public KitLost Refused(Refusal refusal) => new(false);

    public string Trace() => "end of a kit's connection";
}

internal sealed partial class LoseKitHandler : IRequestHandler<LoseKit, KitLost>
{
    private readonly PresenceGate _gate;
    private readonly KitLinks _links;
    private readonly SharedKits _shared;
    private readonly KitChallenges _challenges;
    private readonly KitFleet _fleet;
    private readonly KitSessions _sessions;
    private readonly LinkWatch _watch;
    private readonly Broadcaster _broadcaster;
    private readonly ILogger<LoseKitHandler> _log;

    public LoseKitHandler(PresenceGate gate, KitLinks links, SharedKits shared, KitChallenges challenges, KitFleet fleet, KitSessions sessions, LinkWatch watch, Broadcaster broadcaster, ILogger<LoseKitHandler> log)
    {
        _gate = gate;
        _links = links;
        _shared = shared;
        _challenges = challenges;
        _fleet = fleet;
        _sessions = sessions;
        _watch = watch;
        _broadcaster = broadcaster;
        _log = log;
    }

    public Task<KitLost> Handle(LoseKit request, CancellationToken cancellationToken)
    {
        var kitId = ((KitCaller)request.Caller).KitId;
        return _gate.Alone(kitId, () => Lose(kitId, request.ConnectionId, cancellationToken), cancellationToken);
    }

    private async Task<KitLost> Lose(KitId kitId, string connectionId, CancellationToken cancellationToken)
    {
        _challenges.Take(connectionId);
        if (!_links.Disconnect(kitId, connectionId) || !await _shared.Release(kitId, connectionId, cancellationToken))
        {
            return new KitLost(false);
        }

        Log.Lost(_log, kitId);
        _broadcaster.KitChanged(kitId);
        if (await _sessions.FindOpen(kitId, cancellationToken) is { } sessionId)
        {
            await _watch.MarkLost(sessionId, cancellationToken);
        }

        await _fleet.Seen(kitId, null, cancellationToken);
        return new KitLost(true);
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2102, Level = LogLevel.Warning, Message = "Kit {KitId} is out of reach")]
        public static partial void Lost(ILogger logger, KitId kitId);
    }
}
