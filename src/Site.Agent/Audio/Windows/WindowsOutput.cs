using System.Runtime.Versioning;
using NAudio.Wave;

namespace TeleHearing.Site.Agent.Audio.Windows;

/// <summary>A sound output of Windows: exclusive, so that nothing is mixed in or converted, and raw, so that no effect of the system lies in between.</summary>
/// <remarks>
/// The driver's thread takes samples from a short queue, which the audio loop fills and by which it is held up. Volume and mute of the endpoint still apply in
/// exclusive mode and are looked at four times a second.
/// </remarks>
[SupportedOSPlatform("windows")]
internal sealed class WindowsOutput : IAudioOutput, IWaveProvider
{
    private static readonly TimeSpan _stallLimit = TimeSpan.FromMilliseconds(500);
    private readonly BlockQueue _queue;
    private readonly WindowsEndpoint _endpoint;
    private readonly WasapiPlayer _player;
    private readonly SampleLayout _layout;
    private float[] _samples = [];
    private int _underrunsSeen;
    private bool _disposed;

    private WindowsOutput(WindowsEndpoint endpoint, double latencyMs)
    {
        _endpoint = endpoint;
        _queue = new BlockQueue((int)Math.Ceiling(latencyMs / AudioFormat.MillisecondsOf(AudioFormat.BlockFrames)));
        _player = new WasapiPlayerBuilder()
            .WithDevice(endpoint.Device)
            .WithExclusiveMode()
            .WithEventSync()
            .WithLatency((int)latencyMs)
            .WithMmcssThreadPriority("Pro Audio")
            .WithRawMode()
            .Build();
        try
        {
            (WaveFormat, _layout) = WindowsFormats.Find(_player.IsFormatSupported, endpoint.Name);
            _player.PlaybackStopped += (_, stopped) => endpoint.Fail($"The sound output \"{endpoint.Name}\" stopped ({stopped.Exception?.Message ?? "no reason given"}).");
            _player.Init(this);
            if (_player.OutputWaveFormat is not { SampleRate: AudioFormat.SampleRateHz, Channels: AudioFormat.Channels, BitsPerSample: >= 24 })
            {
                throw new DeviceFaultException(WindowsFormats.Unfit(endpoint.Name));
            }

            _player.Play();
        }
        catch
        {
            _player.Dispose();
            throw;
        }
    }

    /// <inheritdoc />
    public WaveFormat WaveFormat { get; }

    /// <inheritdoc />
    public string DeviceName => _endpoint.Name;

    /// <inheritdoc />
    public int SampleRateHz => AudioFormat.SampleRateHz;

    /// <inheritdoc />
    public int LatencyFrames => (int)AudioFormat.FramesOf(_player.CurrentLatency.TotalMilliseconds) + _queue.HeldFrames;

    /// <summary>Opens an output by name.</summary>
    /// <exception cref="DeviceFaultException">It is not there, not fit, or not to be had.</exception>
    public static WindowsOutput Open(string name, double latencyMs)
    {
        var endpoint = WindowsEndpoint.Find(name, SoundDirection.Output);
        try
        {
            return new WindowsOutput(endpoint, latencyMs);
        }
        catch (Exception fault)
        {
            var named = endpoint.Name;
            endpoint.Dispose();
            throw fault as DeviceFaultException ?? new DeviceFaultException(
                new DeviceFault(DeviceFaultKind.Lasting, $"The sound output \"{named}\" did not open for exclusive, raw use ({fault.Message}).", "Allow exclusive use in the device's settings and close other programs, then start again."),
                fault);
        }
    }

    /// <inheritdoc />
    public DeviceFault? CheckFault()
    {
        if (_endpoint.Fault is { } fault)
        {
            return fault;
        }

        var underruns = _queue.Underruns;
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
        if (_endpoint.Fault is { Kind: DeviceFaultKind.Lasting } fault)
        {
            throw new DeviceFaultException(fault);
        }

        return _queue.TryAdd(stereo.Span, _stallLimit, cancellationToken)
            ? ValueTask.CompletedTask
            : throw new DeviceFaultException(_endpoint.Fail($"The sound output \"{DeviceName}\" stands still: it takes no more sound."));
    }

    /// <summary>Called by the driver's thread: hands over what is queued, and silence where nothing is.</summary>
    public int Read(Span<byte> buffer)
    {
        var count = buffer.Length / SampleForms.Bytes(_layout);
        if (_samples.Length < count)
        {
            _samples = new float[count];
        }

        _queue.Take(_samples.AsSpan(0, count));
        SampleForms.Encode(_samples.AsSpan(0, count), _layout, buffer);
        return buffer.Length;
    }

    /// <inheritdoc />
    public ValueTask DisposeAsync()
    {
        if (!_disposed)
        {
            _disposed = true;
            _player.Dispose();
            _endpoint.Dispose();
            _queue.Dispose();
        }

        return ValueTask.CompletedTask;
    }
}
