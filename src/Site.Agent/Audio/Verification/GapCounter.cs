namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>An output that counts its gaps. The audio loop tells a presentation of a gap in its own sound; one in the silence between two, which moves everything after it in a recording, is only seen here.</summary>
internal sealed class GapCounter(IAudioOutput output) : IAudioOutput
{
    private int _gaps;

    /// <summary>Gaps so far.</summary>
    public int Gaps => Volatile.Read(ref _gaps);

    public string DeviceName => output.DeviceName;

    public int SampleRateHz => output.SampleRateHz;

    public int LatencyFrames => output.LatencyFrames;

    public DeviceFault? CheckFault()
    {
        var fault = output.CheckFault();
        if (fault is { Kind: DeviceFaultKind.Passing })
        {
            Interlocked.Increment(ref _gaps);
        }

        return fault;
    }

    public ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken) => output.WriteAsync(stereo, cancellationToken);

    public ValueTask DisposeAsync() => output.DisposeAsync();
}
