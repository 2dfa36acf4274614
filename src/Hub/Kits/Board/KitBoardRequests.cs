using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>Watch the kit board.</summary>
internal sealed record WatchKitBoardQuery(Caller Caller, string ConnectionId) : IHubRequest<KitBoardView>
{
    public KitBoardView Refused(Refusal refusal) => new(default, default, []) { Refusal = refusal };

    public string Trace() => "watch kit board";
}

internal sealed class WatchKitBoardHandler : IRequestHandler<WatchKitBoardQuery, KitBoardView>
{
    private readonly KitBoardReader _reader;
    private readonly Broadcaster _broadcaster;

    public WatchKitBoardHandler(KitBoardReader reader, Broadcaster broadcaster)
    {
        _reader = reader;
        _broadcaster = broadcaster;
    }

    public Task<KitBoardView> Handle(WatchKitBoardQuery request, CancellationToken cancellationToken)
    {
        // Before the reading: what changes in between is then told again rather than missed.
        _broadcaster.WatchKitBoard(request.ConnectionId);
        return _reader.Read(cancellationToken);
    }
}

/// <summary>Read a window of the kits' timeline.</summary>
internal sealed record ReadKitTimeline(KitTimelineQuery Query, Caller Caller) : IHubRequest<KitTimelineView>, IValidated
{
    public int? ProtocolVersion => null;

    public IReadOnlyList<string> Faults()
    {
        if (Query is null)
        {
            return ["The window of the timeline is missing."];
        }

        var faults = new Faults();
        faults.Need(Query.Days is >= 1 and <= KitTimelineQuery.MostDays, $"A window of the timeline has 1 to {KitTimelineQuery.MostDays} days.");
        faults.Need(Query.Kits is { Count: <= KitTimelineQuery.MostKits }, $"A window of the timeline has at most {KitTimelineQuery.MostKits} kits.");
        faults.Need(Query.From.Year is > 1900 and < 9000, "The window begins on no day of a calendar in use.");
        return faults.All;
    }

    public KitTimelineView Refused(Refusal refusal) => new(default, 0, default, []) { Refusal = refusal };

    public string Trace() => "read kit timeline";
}

internal sealed class ReadKitTimelineHandler(KitBoardReader reader) : IRequestHandler<ReadKitTimeline, KitTimelineView>
{
    public Task<KitTimelineView> Handle(ReadKitTimeline request, CancellationToken cancellationToken) => reader.Read(request.Query, cancellationToken);
}
