using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits;

/// <summary>Answer of <see cref="PassSignal"/>.</summary>
internal sealed record SignalPassed(bool Passed);

/// <summary>A live signal of a kit, for those who watch its session. Kept nowhere.</summary>
internal sealed record PassSignal(LiveSignal Signal, Caller Caller) : IHubRequest<SignalPassed>
{
    public SignalPassed Refused(Refusal refusal) => new(false);

    public string Trace() => "live signal";
}

internal sealed class PassSignalHandler : IRequestHandler<PassSignal, SignalPassed>
{
    /// <summary>More bands than any kit measures.</summary>
    private const int MostBands = 64;
    private const int LongestSentence = 500;

    private readonly KitLinks _links;
    private readonly Broadcaster _broadcaster;

    public PassSignalHandler(KitLinks links, Broadcaster broadcaster)
    {
        _links = links;
        _broadcaster = broadcaster;
    }

    public Task<SignalPassed> Handle(PassSignal request, CancellationToken cancellationToken)
    {
        // A kit speaks of the session it is in and of no other.
        var own = request.Signal is not null && IsWhole(request.Signal) && _links.SessionOf(((KitCaller)request.Caller).KitId) == request.Signal.SessionId;
        if (own)
        {
            _broadcaster.Pass(request.Signal!);
        }

        return Task.FromResult(new SignalPassed(own));
    }

    // Consoles trust what they are shown: a room comes with its kind, has levels that are numbers, and is no larger than a room can be.
    private static bool IsWhole(LiveSignal signal) => signal switch
    {
        { Kind: LiveSignalKind.RoomHeard, Room: { } room } =>
            room.LevelsDbSpl is { Count: <= MostBands } levels && levels.All(double.IsFinite)
            && room.OwnNoiseDbSpl is { Count: <= MostBands } own && own.All(double.IsFinite)
            && double.IsFinite(room.WeightedDb)
            && room.Fault is not { Length: > LongestSentence },
        { Kind: LiveSignalKind.RoomHeard } => false,
        _ => Enum.IsDefined(signal.Kind) && signal.Room is null,
    };
}
