namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>A microphone of the machine's sound server. Of two channels the first is heard.</summary>
/// <remarks>
/// Filled by the library's thread, read by the audio loop. Its clock is its own: when it runs a little faster than the output's, the oldest samples are
/// dropped once <see cref="MostHeldMs"/> wait, which is told as a gap; when slower, a block now and then holds none. A level does not suffer from that.
/// </remarks>
internal sealed class PulseInput : IAudioInput
{
    /// <summary>Longest sound held, ms (design).</summary>
    public const double MostHeldMs = 500;

    /// <summary>Nothing for this long means that the microphone is silent for good (design).</summary>
    public static readonly TimeSpan StallLimit = TimeSpan.FromMilliseconds(1000);

    /// <summary>The same until it gave something for the first time: an idle device may first sleep out a buffer of its own, 2 s in a sound server (measured).</summary>
    private static readonly TimeSpan _startLimit = TimeSpan.FromSeconds(5);
    private readonly SampleQueue _queue = new((int)AudioFormat.FramesOf(MostHeldMs));
    private readonly PulseConnection _connection;
    private readonly PulseStream _stream;
    private readonly PulseWatch _watch;
    private readonly TimeProvider _time;
    private long _lastHeard;
    private bool _heardAny;
    private long _lostSeen;
    private bool _disposed;

    private PulseInput(PulseConnection connection, PulseDevice source, double splAtRmsOneDb, TimeProvider time)
    {
        _connection = connection;
        _time = time;
        _lastHeard = time.GetTimestamp();
        SplAtRmsOneDb = splAtRmsOneDb;
        _stream = PulseStream.FromInput(connection, source, interleaved => _queue.Add(interleaved, source.State.Channels));
        _watch = new PulseWatch(connection, _stream);
    }

    /// <inheritdoc />
    public string DeviceName => _stream.Device.State.Description;

    /// <inheritdoc />
    public int SampleRateHz => _stream.Device.State.RateHz;

    /// <inheritdoc />
    public double SplAtRmsOneDb { get; }

    /// <summary>Opens an input by name, at its own rate.</summary>
    /// <param name="name">Its name.</param>
    /// <param name="splAtRmsOneDb">Sensitivity, from the microphone's own record.</param>
    /// <param name="settings">The server.</param>
    /// <param name="time">Clock.</param>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had.</exception>
    public static PulseInput Open(string name, double splAtRmsOneDb, PulseSettings settings, TimeProvider time)
    {
        var connection = PulseConnection.Open(settings.Server);
        try
        {
            return new PulseInput(connection, PulseDevices.Find(connection.Sources(), name, SoundDirection.Input), splAtRmsOneDb, time);
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    /// <inheritdoc />
    public DeviceFault? CheckFault()
    {
        if (_watch.Fault is { } fault)
        {
            return fault;
        }

        var lost = _stream.Holes + _queue.Dropped;
        if (lost == _lostSeen)
        {
            return null;
        }

        _lostSeen = lost;
        return DeviceFault.MicrophoneGap(DeviceName);
    }

    /// <inheritdoc />
    public bool TryRead(Span<float> mono)
    {
        if (_queue.TryTake(mono))
        {
            (_lastHeard, _heardAny) = (_time.GetTimestamp(), true);
            return true;
        }

        if (!_stream.IsOpen)
        {
            throw new DeviceFaultException(_watch.Fail(_watch.Ended()));
        }

        return _time.GetElapsedTime(_lastHeard) < (_heardAny ? StallLimit : _startLimit)
            ? false
            : throw new DeviceFaultException(_watch.Fail(new DeviceFault(
                DeviceFaultKind.Lasting,
                $"The microphone input \"{DeviceName}\" gives nothing any more.",
                "Unplug the microphone and plug it in again, then start again.")));
    }

    /// <inheritdoc />
    public ValueTask DisposeAsync()
    {
        if (!_disposed)
        {
            _disposed = true;
            _watch.Dispose();
            _stream.Dispose();
            _connection.Dispose();
        }

        return ValueTask.CompletedTask;
    }
}
