using System.Runtime.InteropServices;

namespace TeleHearing.Site.Agent.Audio.Pulse;

/// <summary>Takes recorded samples on the library's own thread: it must be quick and never wait.</summary>
internal delegate void SamplesHeard(ReadOnlySpan<float> interleaved);

/// <summary>One open stream to or from one device, of 32 bit floats at the kit's rate. It ends with its device and is never moved to another.</summary>
internal sealed unsafe partial class PulseStream : IDisposable
{
    private readonly ManualResetEventSlim _settled = new();
    private readonly ManualResetEventSlim _moved = new();
    private readonly PulseConnection _connection;
    private readonly SamplesHeard? _heard;
    private readonly nint _stream;
    private GCHandle _self;
    private int _underruns;
    private int _holes;
    private bool _disposed;

    private PulseStream(PulseConnection connection, PulseDevice device, SamplesHeard? heard)
    {
        _connection = connection;
        _heard = heard;
        Device = device;
        _self = GCHandle.Alloc(this);
        var channels = device.State.Channels;
        var spec = new SampleSpec { Format = BitConverter.IsLittleEndian ? SampleSpec.Float32Little : SampleSpec.Float32Big, RateHz = AudioFormat.SampleRateHz, Channels = (byte)channels };
        var map = new ChannelMap { Channels = (byte)channels };
        map.Positions[0] = channels == 1 ? ChannelMap.Mono : ChannelMap.FrontLeft;
        map.Positions[1] = ChannelMap.FrontRight;
        using (connection.Lock())
        {
            _stream = PulseApi.StreamNew(connection.Context, heard is null ? "hearing test" : "measurement microphone", &spec, &map);
            var user = GCHandle.ToIntPtr(_self);
            PulseApi.StreamSetStateCallback(_stream, &OnState, user);
            PulseApi.StreamSetMovedCallback(_stream, &OnMoved, user);
            if (heard is null)
            {
                PulseApi.StreamSetWriteCallback(_stream, &OnRoom, user);
                PulseApi.StreamSetUnderflowCallback(_stream, &OnUnderflow, user);
            }
            else
            {
                PulseApi.StreamSetReadCallback(_stream, &OnData, user);
            }
        }
    }

    /// <summary>The device it was opened on, as it was then.</summary>
    public PulseDevice Device { get; }

    /// <summary>Set when there is room for more samples, or the stream's state changed.</summary>
    public ManualResetEventSlim Stirred { get; } = new();

    /// <summary>How often the device ran out of samples.</summary>
    public int Underruns => Volatile.Read(ref _underruns);

    /// <summary>How often the recording has a hole, because its reader was too slow.</summary>
    public int Holes => Volatile.Read(ref _holes);

    /// <summary>Whether it was moved to another device in spite of everything.</summary>
    public bool WasMoved => _moved.IsSet;

    /// <summary>The server's number for the stream.</summary>
    public uint Index
    {
        get
        {
            using (_connection.Lock())
            {
                return PulseApi.StreamIndex(_stream);
            }
        }
    }

    /// <summary>Whether it is open.</summary>
    public bool IsOpen
    {
        get
        {
            using (_connection.Lock())
            {
                return PulseApi.StreamState(_stream) == PulseApi.StreamReady;
            }
        }
    }

    /// <summary>Whether the server holds the device still.</summary>
    public bool IsSuspended
    {
        get
        {
            using (_connection.Lock())
            {
                return PulseApi.StreamIsSuspended(_stream) == 1;
            }
        }
    }

    /// <summary>From a sample handed over to its sound, or from sound to sample, in frames; absent while not known.</summary>
    public int? LatencyFrames
    {
        get
        {
            ulong microseconds;
            int negative;
            using (_connection.Lock())
            {
                return PulseApi.StreamLatency(_stream, &microseconds, &negative) == 0 && negative == 0
                    ? (int)AudioFormat.FramesOf(microseconds / 1000.0)
                    : null;
            }
        }
    }

    /// <summary>Opens a stream to an output.</summary>
    /// <exception cref="DeviceFaultException">The server refused.</exception>
    public static PulseStream ToOutput(PulseConnection connection, PulseDevice sink, double latencyMs)
    {
        var target = (uint)(AudioFormat.FramesOf(latencyMs) * sink.State.Channels * sizeof(float));
        var attributes = new BufferAttributes
        {
            MaximumBytes = BufferAttributes.Default,
            TargetBytes = target,
            PrebufferBytes = BufferAttributes.Default,
            MinimumRequestBytes = (uint)(AudioFormat.BlockFrames * sink.State.Channels * sizeof(float)),
            FragmentBytes = BufferAttributes.Default,
        };
        return new PulseStream(connection, sink, null).Connect(attributes);
    }

    /// <summary>Opens a stream from an input; <paramref name="heard"/> gets everything it records.</summary>
    /// <exception cref="DeviceFaultException">The server refused.</exception>
    public static PulseStream FromInput(PulseConnection connection, PulseDevice source, SamplesHeard heard)
    {
        var attributes = new BufferAttributes
        {
            MaximumBytes = BufferAttributes.Default,
            TargetBytes = BufferAttributes.Default,
            PrebufferBytes = BufferAttributes.Default,
            MinimumRequestBytes = BufferAttributes.Default,
            FragmentBytes = (uint)(AudioFormat.BlockFrames * source.State.Channels * sizeof(float)),
        };
        return new PulseStream(connection, source, heard).Connect(attributes);
    }

    /// <summary>Hands samples over if there is room for all of them.</summary>
    public bool TryWrite(ReadOnlySpan<float> interleaved)
    {
        var bytes = (nuint)(interleaved.Length * sizeof(float));
        using (_connection.Lock())
        {
            Stirred.Reset();
            var room = PulseApi.StreamState(_stream) == PulseApi.StreamReady ? PulseApi.StreamWritableSize(_stream) : 0;
            if (room < bytes || room == nuint.MaxValue)
            {
                return false;
            }

            fixed (float* data = interleaved)
            {
                return PulseApi.StreamWrite(_stream, data, bytes, 0, 0, 0) == 0;
            }
        }
    }

    public void Dispose()
    {
        if (_disposed)
        {
            return;
        }

        _disposed = true;
        using (_connection.Lock())
        {
            PulseApi.StreamSetStateCallback(_stream, null, 0);
            PulseApi.StreamSetMovedCallback(_stream, null, 0);
            PulseApi.StreamSetWriteCallback(_stream, null, 0);
            PulseApi.StreamSetReadCallback(_stream, null, 0);
            PulseApi.StreamSetUnderflowCallback(_stream, null, 0);
            if (PulseApi.StreamState(_stream) == PulseApi.StreamReady)
            {
                // what the server still holds is thrown away, so that nothing sounds late
                if (_heard is null && PulseApi.StreamFlush(_stream, 0, 0) is var flush and not 0)
                {
                    PulseApi.OperationUnref(flush);
                }

                _ = PulseApi.StreamDisconnect(_stream);
            }

            PulseApi.StreamUnref(_stream);
        }

        _self.Free();
    }

    private PulseStream Connect(BufferAttributes attributes)
    {
        var name = Device.State.Name[PulseDevice.Prefix.Length..];
        const int Flags = PulseApi.DontMove | PulseApi.NoRemapChannels | PulseApi.NoRemixChannels | PulseApi.AdjustLatency | PulseApi.AutoTimingUpdate | PulseApi.InterpolateTiming;
        bool begun;
        using (_connection.Lock())
        {
            begun = 0 == (_heard is null
                ? PulseApi.StreamConnectPlayback(_stream, name, &attributes, Flags, 0, 0)
                : PulseApi.StreamConnectRecord(_stream, name, &attributes, Flags));
        }

        if (begun && _settled.Wait(PulseConnection.AnswerLimit) && IsOpen)
        {
            using (_connection.Lock())
            {
                begun = PulseConnection.Text(PulseApi.StreamDeviceName(_stream)) == name;
            }

            if (begun)
            {
                return this;
            }
        }

        var reason = _connection.ErrorText();
        Dispose();
        throw new DeviceFaultException(new DeviceFault(
            DeviceFaultKind.Lasting,
            $"The sound server did not open \"{Device.State.Description}\" ({reason}).",
            "See that the device is plugged in and that no other program holds it, then start again."));
    }
}
