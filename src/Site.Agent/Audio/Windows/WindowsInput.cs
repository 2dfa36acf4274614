using System.Runtime.InteropServices;
using System.Runtime.Versioning;
using NAudio.Wave;

namespace TeleHearing.Site.Agent.Audio.Windows;

/// <summary>A microphone of Windows: raw, so that neither noise suppression nor gain control of the system lies in between. Of two channels the first is heard.</summary>
[SupportedOSPlatform("windows")]
internal sealed class WindowsInput : IAudioInput
{
    private const int BufferMs = 50;
    private const double MostHeldMs = 200;
    private static readonly TimeSpan _stallLimit = TimeSpan.FromMilliseconds(1000);
    private readonly SampleQueue _queue = new((int)AudioFormat.FramesOf(MostHeldMs));
    private readonly WindowsEndpoint _endpoint;
    private readonly WasapiRecorder _recorder;
    private readonly TimeProvider _time;
    private long _lastHeard;
    private bool _disposed;

    private WindowsInput(WindowsEndpoint endpoint, double splAtRmsOneDb, TimeProvider time)
    {
        (_endpoint, SplAtRmsOneDb, _time) = (endpoint, splAtRmsOneDb, time);
        _lastHeard = time.GetTimestamp();
        _recorder = new WasapiRecorderBuilder().WithDevice(endpoint.Device).WithSharedMode().WithEventSync().WithBufferLength(BufferMs).WithMmcssThreadPriority("Pro Audio").WithRawMode().Build();
        if (_recorder.WaveFormat is not { SampleRate: AudioFormat.SampleRateHz, BitsPerSample: 32, Channels: 1 or 2 } format)
        {
            _recorder.Dispose();
            throw new DeviceFaultException(WindowsFormats.Unfit(endpoint.Name));
        }

        _recorder.DataAvailable += (data, _, _, _) => _queue.Add(MemoryMarshal.Cast<byte, float>(data), format.Channels);
        _recorder.RecordingStopped += (_, stopped) => endpoint.Fail($"The microphone input \"{endpoint.Name}\" stopped ({stopped.Exception?.Message ?? "no reason given"}).");
        _recorder.StartRecording();
    }

    /// <inheritdoc />
    public string DeviceName => _endpoint.Name;

    /// <inheritdoc />
    public int SampleRateHz => AudioFormat.SampleRateHz;

    /// <inheritdoc />
    public double SplAtRmsOneDb { get; }

    /// <summary>Opens an input by name.</summary>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had.</exception>
    public static WindowsInput Open(string name, double splAtRmsOneDb, TimeProvider time)
    {
        var endpoint = WindowsEndpoint.Find(name, SoundDirection.Input);
        try
        {
            return new WindowsInput(endpoint, splAtRmsOneDb, time);
        }
        catch (Exception fault)
        {
            var named = endpoint.Name;
            endpoint.Dispose();
            throw fault as DeviceFaultException ?? new DeviceFaultException(
                new DeviceFault(DeviceFaultKind.Lasting, $"The microphone input \"{named}\" did not open for raw use ({fault.Message}).", "Allow desktop programs to use the microphone, then start again."),
                fault);
        }
    }

    /// <inheritdoc />
    public DeviceFault? CheckFault() => _endpoint.Fault;

    /// <inheritdoc />
    public bool TryRead(Span<float> mono)
    {
        if (_queue.TryTake(mono))
        {
            _lastHeard = _time.GetTimestamp();
            return true;
        }

        return _time.GetElapsedTime(_lastHeard) < _stallLimit
            ? false
            : throw new DeviceFaultException(_endpoint.Fail($"The microphone input \"{DeviceName}\" gives nothing any more."));
    }

    /// <inheritdoc />
    public ValueTask DisposeAsync()
    {
        if (!_disposed)
        {
            _disposed = true;
            _recorder.Dispose();
            _endpoint.Dispose();
        }

        return ValueTask.CompletedTask;
    }
}
