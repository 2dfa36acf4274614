namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>A sound output of the kernel, without a sound server.</summary>
/// <remarks>Written by the audio loop alone, which it holds up while there is no room.</remarks>
internal sealed class AlsaOutput : IAudioOutput
{
    /// <summary>No room for this long means that the device stands still (design).</summary>
    private static readonly TimeSpan _stallLimit = TimeSpan.FromMilliseconds(500);

    /// <summary>The same while the stream starts (design): an idle device may first have to wake.</summary>
    private static readonly TimeSpan _startLimit = TimeSpan.FromSeconds(5);
    private readonly AlsaStream _stream;
    private readonly AlsaMixer? _mixer;
    private long _written;
    private int _underruns;
    private int _underrunsSeen;
    private DeviceFault? _failed;

    private AlsaOutput(AlsaStream stream, AlsaMixer? mixer) => (_stream, _mixer) = (stream, mixer);

    /// <inheritdoc />
    public string DeviceName => _stream.Name;

    /// <inheritdoc />
    public int SampleRateHz => AudioFormat.SampleRateHz;

    /// <inheritdoc />
    public int LatencyFrames => _stream.DelayFrames ?? _stream.BufferFrames;

    /// <summary>How it takes samples.</summary>
    internal SampleLayout Layout => _stream.Layout;

    /// <summary>Opens a <c>hw:</c> device with its mixer.</summary>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had.</exception>
    public static AlsaOutput Open(string name, double latencyMs) => Open(name, AlsaNames.Card(name), latencyMs);

    /// <summary>Opens a device and the mixer of a card, if one is given.</summary>
    internal static AlsaOutput Open(string name, string? card, double latencyMs)
    {
        var stream = AlsaStream.Open(name, SoundDirection.Output, latencyMs);
        try
        {
            return new AlsaOutput(stream, card is null ? null : AlsaMixer.Open(card, SoundDirection.Output));
        }
        catch
        {
            stream.Dispose();
            throw;
        }
    }

    /// <inheritdoc />
    public DeviceFault? CheckFault()
    {
        if ((_failed ?? _mixer?.Fault) is { } fault)
        {
            return fault;
        }

        if (_underruns == _underrunsSeen)
        {
            return null;
        }

        _underrunsSeen = _underruns;
        return new DeviceFault(DeviceFaultKind.Passing, $"The sound output \"{DeviceName}\" ran out of samples, so the sound had a gap.", "Close other programs on the kit, then repeat.");
    }

    /// <inheritdoc />
    public ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken)
    {
        var left = stereo.Span;
        while (left.Length > 0)
        {
            cancellationToken.ThrowIfCancellationRequested();
            var written = _stream.Write(left);
            if (written > 0)
            {
                _written += written;
                left = left[(int)(written * AudioFormat.Channels)..];
                continue;
            }

            if (written == AlsaApi.Overrun)
            {
                _underruns++;
                written = _stream.Recover();
            }
            else if (written is AlsaApi.TryAgain or 0)
            {
                written = _stream.Wait(_written < 2L * _stream.BufferFrames ? _startLimit : _stallLimit) ? 0 : throw Fail(AlsaFaults.Still(DeviceName));
            }

            if (written < 0)
            {
                throw Fail(AlsaFaults.Gone(DeviceName, written));
            }
        }

        return ValueTask.CompletedTask;
    }

    /// <inheritdoc />
    public ValueTask DisposeAsync()
    {
        _mixer?.Dispose();
        _stream.Dispose();
        return ValueTask.CompletedTask;
    }

    private DeviceFaultException Fail(DeviceFault fault) => new(_failed = fault);
}
