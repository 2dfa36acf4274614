using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Link;

/// <summary>What the console shows live, on its way to the hub: button, sound and room. Never waits; when the link is slow the oldest are dropped, and of the room all but the newest.</summary>
internal sealed class LiveSignals
{
    private readonly Channel<LiveSignalKind> _signals;
    private LiveRoom? _room;

    public LiveSignals(AudioEngine engine, Gear gear, TimeProvider time)
    {
        _signals = Channel.CreateBounded<LiveSignalKind>(new BoundedChannelOptions(16) { FullMode = BoundedChannelFullMode.DropOldest }, Dropped);
        engine.SoundChanged += on => _signals.Writer.TryWrite(on ? LiveSignalKind.SoundOn : LiveSignalKind.SoundOff);
        engine.Button.Moved += down => _signals.Writer.TryWrite(down ? LiveSignalKind.ButtonDown : LiveSignalKind.ButtonUp);
        engine.Monitor = RoomStrip.For(engine.Microphone, gear, Hear, time);
    }

    /// <summary>The signals of a session as they come.</summary>
    /// <param name="session">The session in hand; without one, signals go nowhere.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public async IAsyncEnumerable<LiveSignal> ReadAsync(Func<SessionId?> session, [System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancellationToken)
    {
        while (true)
        {
            var kind = await _signals.Reader.ReadAsync(cancellationToken);
            var room = kind == LiveSignalKind.RoomHeard ? Interlocked.Exchange(ref _room, null) : null;
            if (session() is { } sessionId && (room is not null || kind != LiveSignalKind.RoomHeard))
            {
                yield return new LiveSignal(sessionId, kind) { Room = room };
            }
        }
    }

    // The next room must be able to take the place of one that was dropped.
    private void Dropped(LiveSignalKind kind)
    {
        if (kind == LiveSignalKind.RoomHeard)
        {
            Interlocked.Exchange(ref _room, null);
        }
    }

    private void Hear(LiveRoom room)
    {
        if (Interlocked.Exchange(ref _room, room) is null)
        {
            _signals.Writer.TryWrite(LiveSignalKind.RoomHeard);
        }
    }
}
