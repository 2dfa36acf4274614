using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Link;

/// <summary>The lamps of the console: button and sound, on their way to the hub. Never waits; when the link is slow the oldest are dropped.</summary>
internal sealed class LiveSignals
{
    private readonly Channel<LiveSignalKind> _signals = Channel.CreateBounded<LiveSignalKind>(new BoundedChannelOptions(16) { FullMode = BoundedChannelFullMode.DropOldest });

    public LiveSignals(AudioEngine engine)
    {
        engine.SoundChanged += on => _signals.Writer.TryWrite(on ? LiveSignalKind.SoundOn : LiveSignalKind.SoundOff);
        engine.Button.Moved += down => _signals.Writer.TryWrite(down ? LiveSignalKind.ButtonDown : LiveSignalKind.ButtonUp);
    }

    public IAsyncEnumerable<LiveSignalKind> ReadAsync(CancellationToken cancellationToken) => _signals.Reader.ReadAllAsync(cancellationToken);
}
