namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>Which server to use and how far ahead of the sound the kit works.</summary>
/// <param name="Server">Address of the server; absent for the one of this user.</param>
/// <param name="LatencyMs">Sound held ready, ms: more survives a busier machine, less falls silent sooner.</param>
internal sealed record PulseSettings(string? Server = null, double LatencyMs = PulseSettings.UsualLatencyMs)
{
    /// <summary>Held ready unless the kit says otherwise, ms (design): six blocks.</summary>
    public const double UsualLatencyMs = 60;
}

/// <summary>A sound output of the machine's sound server.</summary>
/// <remarks>Written by the audio loop alone, which it holds up while there is no room; that loop has a thread of its own.</remarks>
internal sealed class PulseOutput : IAudioOutput
{
    /// <summary>No room for this long beyond the latency means that the device stands still: a healthy one asks for more at least twice within its latency (design).</summary>
    private static readonly TimeSpan _stallLimit = TimeSpan.FromMilliseconds(500);

    /// <summary>The same while the stream starts: an idle device may first sleep out a buffer of its own, 2 s in a sound server (measured).</summary>
    private static readonly TimeSpan _startLimit = TimeSpan.FromSeconds(5);
    private readonly PulseConnection _connection;
    private readonly PulseStream _stream;
    private readonly PulseWatch _watch;
    private readonly TimeProvider _time;
    private readonly TimeSpan _longestWait;
    private readonly long _startFrames;
    private int _likelyLatencyFrames;
    private long _written;
    private int _underrunsSeen;
    private bool _disposed;

    private PulseOutput(PulseConnection connection, PulseStream stream, PulseSettings settings, TimeProvider time)
    {
        _connection = connection;
        _stream = stream;
        _time = time;
        _longestWait = _stallLimit + TimeSpan.FromMilliseconds(settings.LatencyMs);
        _likelyLatencyFrames = (int)AudioFormat.FramesOf(settings.LatencyMs);
        _startFrames = 2L * _likelyLatencyFrames;
        _watch = new PulseWatch(connection, stream);
    }

    /// <inheritdoc />
    public string DeviceName => _stream.Device.State.Description;

    /// <inheritdoc />
    public int SampleRateHz => _stream.Device.State.RateHz;

    /// <inheritdoc />
    public int LatencyFrames => _likelyLatencyFrames = _stream.LatencyFrames ?? _likelyLatencyFrames;

    /// <summary>How often the device ran out of samples so far.</summary>
    internal int Underruns => _stream.Underruns;

    /// <summary>Opens an output by name, at its own rate.</summary>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had.</exception>
    public static PulseOutput Open(string name, PulseSettings settings, TimeProvider time)
    {
        var connection = PulseConnection.Open(settings.Server);
        try
        {
            var sink = PulseDevices.Find(connection.Sinks(), name, SoundDirection.Output);
            return new PulseOutput(connection, PulseStream.ToOutput(connection, sink, settings.LatencyMs), settings, time);
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

        var underruns = _stream.Underruns;
        if (underruns == _underrunsSeen)
        {
            return null;
        }

        _underrunsSeen = underruns;
        return new DeviceFault(DeviceFaultKind.Passing, $"The sound output \"{DeviceName}\" ran out of samples, so the sound had a gap.", "Close other programs on the kit, then repeat.");
    }

    /// <inheritdoc />
    public ValueTask WriteAsync(ReadOnlyMemory<float> stereo, CancellationToken cancellationToken)
    {
        var began = _time.GetTimestamp();
        while (!_stream.TryWrite(stereo.Span))
        {
            if (_watch.Fault is { Kind: DeviceFaultKind.Lasting } standing)
            {
                throw new DeviceFaultException(standing);
            }

            if (!_stream.IsOpen)
            {
                throw new DeviceFaultException(_watch.Fail(_watch.Ended()));
            }

            var left = (_written < _startFrames ? _startLimit : _longestWait) - _time.GetElapsedTime(began);
            if (left <= TimeSpan.Zero)
            {
                throw new DeviceFaultException(_watch.Fail(Stalled()));
            }

            _stream.Stirred.Wait(left, cancellationToken);
        }

        _written += stereo.Length / AudioFormat.Channels;
        return ValueTask.CompletedTask;
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

    private DeviceFault Stalled() => new(
        DeviceFaultKind.Lasting,
        _stream.IsSuspended ? $"The sound server holds \"{DeviceName}\" still." : $"The sound output \"{DeviceName}\" stands still: it takes no more sound.",
        "Unplug the device and plug it in again, then start again.");
}
