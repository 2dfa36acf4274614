using System.Threading.Channels;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Tests.Support;

/// <summary>A sound device that takes a block only when the test lets it, and keeps everything it was given.</summary>
internal sealed class BlockDevice : IAudioOutput
{
    private readonly Channel<int> _turns = Channel.CreateUnbounded<int>();
    private readonly Channel<long> _done = Channel.CreateUnbounded<long>();
    private readonly List<float> _played = [];

    public string DeviceName => "test device";

    public int SampleRateHz => AudioFormat.SampleRateHz;

    /// <summary>Fails at the next block.</summary>
    public bool Breaks { get; set; }

    /// <summary>How it fails.</summary>
    public Exception Failure { get; set; } = new IOException("The plug was pulled.");

    /// <summary>What is wrong just now.</summary>
    public DeviceFault? Standing { get; set; }

    /// <summary>From a sample handed over to its sound.</summary>
    public int LatencyFrames { get; set; }

    public DeviceFault? CheckFault() => Standing;

    public float Left(long frame) => _played[(int)frame * 2];

    public float Right(long frame) => _played[((int)frame * 2) + 1];

    public long Frames => _played.Count / 2;

    public async ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken)
    {
        await _turns.Reader.ReadAsync(cancellationToken);
        if (Breaks)
        {
            throw Failure;
        }

        _played.AddRange(stereo.Span);
        await _done.Writer.WriteAsync(Frames, cancellationToken);
    }

    /// <summary>Lets the engine play this many blocks. A block is rendered before it is let go, so a change made now is heard one block later.</summary>
    public async Task PlayAsync(int blocks)
    {
        for (var block = 0; block < blocks; block++)
        {
            await _turns.Writer.WriteAsync(1, TestContext.Current.CancellationToken);
            await _done.Reader.ReadAsync(TestContext.Current.CancellationToken);
        }
    }

    /// <summary>Lets it go on by itself from now on.</summary>
    public async Task LetGoAsync(int blocks)
    {
        for (var block = 0; block < blocks; block++)
        {
            await _turns.Writer.WriteAsync(1, TestContext.Current.CancellationToken);
        }
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}

/// <summary>A tone whose every sample is the same, so that its first and last frame can be seen exactly.</summary>
internal sealed record FlatTone(long TotalFrames, float Level = 0.5f) : IStimulus
{
    public void Render(long startFrame, Span<float> mono) => mono.Fill(Level);
}
