using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Sound.Tests.Support;

/// <summary>A real output whose samples are held back while the test wants, as on a machine that is held up.</summary>
internal sealed class HeldOutput(IAudioOutput output) : IAudioOutput
{
    private readonly ManualResetEventSlim _open = new(initialState: true);

    public string DeviceName => output.DeviceName;

    public int SampleRateHz => output.SampleRateHz;

    public int LatencyFrames => output.LatencyFrames;

    public void Hold() => _open.Reset();

    public void LetGo() => _open.Set();

    public DeviceFault? CheckFault() => output.CheckFault();

    public ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken)
    {
        _open.Wait(cancellationToken);
        return output.WriteAsync(stereo, cancellationToken);
    }

    public ValueTask DisposeAsync() => output.DisposeAsync();
}
