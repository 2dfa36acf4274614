namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>A microphone of the kernel's sound system, without a sound server. Of two channels the first is heard.</summary>
/// <remarks>Read by the audio loop alone; the device's own buffer evens out the two clocks.</remarks>
internal sealed class AlsaInput : IAudioInput
{
    private const double BufferMs = 200;

    /// <summary>Nothing for this long means that the microphone is silent for good (design).</summary>
    private static readonly TimeSpan _stallLimit = TimeSpan.FromMilliseconds(1000);
    private readonly AlsaStream _stream;
    private readonly AlsaMixer? _mixer;
    private readonly TimeProvider _time;
    private long _lastHeard;
    private bool _gap;

    private AlsaInput(AlsaStream stream, AlsaMixer? mixer, double splAtRmsOneDb, TimeProvider time)
    {
        (_stream, _mixer, SplAtRmsOneDb, _time) = (stream, mixer, splAtRmsOneDb, time);
        _lastHeard = time.GetTimestamp();
    }

    /// <inheritdoc />
    public string DeviceName => _stream.Name;

    /// <inheritdoc />
    public int SampleRateHz => AudioFormat.SampleRateHz;

    /// <inheritdoc />
    public double SplAtRmsOneDb { get; }

    /// <summary>Opens a <c>hw:</c> device with its mixer.</summary>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had.</exception>
    public static AlsaInput Open(string name, double splAtRmsOneDb, TimeProvider time) => Open(name, AlsaNames.Card(name), splAtRmsOneDb, time);

    /// <summary>Opens a device and the mixer of a card, if one is given.</summary>
    internal static AlsaInput Open(string name, string? card, double splAtRmsOneDb, TimeProvider time)
    {
        var stream = AlsaStream.Open(name, SoundDirection.Input, BufferMs);
        try
        {
            return new AlsaInput(stream, card is null ? null : AlsaMixer.Open(card, SoundDirection.Input), splAtRmsOneDb, time);
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
        if (_mixer?.Fault is { } fault)
        {
            return fault;
        }

        var gap = _gap;
        _gap = false;
        return gap ? DeviceFault.MicrophoneGap(DeviceName) : null;
    }

    /// <inheritdoc />
    public bool TryRead(Span<float> mono)
    {
        var read = _stream.Read(mono);
        if (read == AlsaApi.Overrun)
        {
            // what was not fetched in time is lost
            _gap = true;
            read = _stream.Recover() is < 0 and var failed ? failed : AlsaApi.TryAgain;
        }

        if (read > 0)
        {
            mono[(int)read..].Clear();
            _lastHeard = _time.GetTimestamp();
            return true;
        }

        return read != AlsaApi.TryAgain ? throw new DeviceFaultException(AlsaFaults.Gone(DeviceName, read))
            : _time.GetElapsedTime(_lastHeard) < _stallLimit ? false
            : throw new DeviceFaultException(AlsaFaults.Still(DeviceName));
    }

    /// <inheritdoc />
    public ValueTask DisposeAsync()
    {
        _mixer?.Dispose();
        _stream.Dispose();
        return ValueTask.CompletedTask;
    }
}
