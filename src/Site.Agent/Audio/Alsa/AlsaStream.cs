namespace TeleHearing.Site.Agent.Audio.Alsa;

/// <summary>One open device of the kernel's sound system.</summary>
/// <remarks>Used by the audio loop alone. A <c>hw:</c> device belongs to this program alone while it is open, and no layer converts anything.</remarks>
internal sealed unsafe class AlsaStream : IDisposable
{
    /// <summary>What stands in front of the devices of the kernel.</summary>
    public const string Prefix = "hw:";
    private readonly nint _pcm;
    private readonly AlsaSettings _settings;
    private readonly byte[] _bytes;
    private readonly float[] _interleaved;
    private bool _disposed;

    private AlsaStream(nint pcm, string name, SoundDirection direction, AlsaSettings settings)
    {
        (_pcm, _settings, Name, Direction) = (pcm, settings, name, direction);
        _interleaved = new float[AudioFormat.BlockFrames * settings.Channels];
        _bytes = new byte[_interleaved.Length * SampleForms.Bytes(settings.Layout)];
    }

    public string Name { get; }

    public SoundDirection Direction { get; }

    public SampleLayout Layout => _settings.Layout;

    public int Channels => _settings.Channels;

    public int BufferFrames => _settings.BufferFrames;

    /// <summary>Frames between the next one written and the one that sounds; absent while not known.</summary>
    public int? DelayFrames
    {
        get
        {
            long frames;
            return !_disposed && AlsaApi.Delay(_pcm, &frames) == 0 ? (int)Math.Max(0, frames) : null;
        }
    }

    /// <summary>Opens a device.</summary>
    /// <param name="name">Its name in the kernel's sound system.</param>
    /// <param name="direction">Which way.</param>
    /// <param name="latencyMs">Length of its buffer, ms.</param>
    /// <exception cref="DeviceFaultException">It is not there, held by another program, or not fit.</exception>
    public static AlsaStream Open(string name, SoundDirection direction, double latencyMs)
    {
        nint pcm;
        try
        {
            if (AlsaApi.Open(&pcm, name, direction == SoundDirection.Output ? AlsaApi.Playback : AlsaApi.Capture, AlsaApi.NonBlocking) is < 0 and var error)
            {
                throw AlsaFaults.NotOpened(name, error);
            }
        }
        catch (DllNotFoundException fault)
        {
            throw AlsaFaults.LibraryMissing(fault);
        }

        try
        {
            return new AlsaStream(pcm, name, direction, AlsaSettings.Apply(pcm, name, direction, latencyMs));
        }
        catch
        {
            _ = AlsaApi.Close(pcm);
            throw;
        }
    }

    /// <summary>Writes what there is room for.</summary>
    /// <returns>Frames written, or a negative error number.</returns>
    public long Write(ReadOnlySpan<float> interleaved)
    {
        SampleForms.Encode(interleaved, Layout, _bytes);
        fixed (byte* data = _bytes)
        {
            return AlsaApi.Write(_pcm, data, (ulong)(interleaved.Length / Channels));
        }
    }

    /// <summary>Reads one block of the first channel, when there is a whole one.</summary>
    /// <returns>Frames read, or a negative error number.</returns>
    public long Read(Span<float> mono)
    {
        var available = AlsaApi.Available(_pcm);
        if (available < mono.Length)
        {
            return available < 0 ? available : AlsaApi.TryAgain;
        }

        long read;
        fixed (byte* data = _bytes)
        {
            read = AlsaApi.Read(_pcm, data, (ulong)mono.Length);
        }

        if (read > 0)
        {
            SampleForms.Decode(_bytes, Layout, _interleaved.AsSpan(0, (int)read * Channels));
            for (var frame = 0; frame < read; frame++)
            {
                mono[frame] = _interleaved[frame * Channels];
            }
        }

        return read;
    }

    /// <summary>Waits for room or data; false at the time limit.</summary>
    public bool Wait(TimeSpan limit) => AlsaApi.Wait(_pcm, (int)Math.Max(1, limit.TotalMilliseconds)) != 0;

    /// <summary>Makes it ready again after it ran out of samples, or over.</summary>
    /// <returns>0, or a negative error number.</returns>
    public int Recover() => AlsaApi.Prepare(_pcm) is < 0 and var error ? error : Direction == SoundDirection.Input ? AlsaApi.Start(_pcm) : 0;

    public void Dispose()
    {
        if (!_disposed)
        {
            _disposed = true;
            _ = AlsaApi.Drop(_pcm);
            _ = AlsaApi.Close(_pcm);
        }
    }
}
