using System.Runtime.InteropServices;
using TeleHearing.Site.Agent.Audio.Pulse;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Records both channels of what comes back: the monitor of the output, or an input with a cable in it.</summary>
internal sealed class LoopRecorder : IDisposable
{
    private readonly PulseConnection _connection;
    private readonly PulseStream _stream;
    private readonly Lock _lock = new();
    private readonly List<float> _left = [];
    private readonly List<float> _right = [];
    private long _dropped;
    private bool _disposed;

    private LoopRecorder(PulseConnection connection, PulseDevice source, bool isOwnMonitor)
    {
        _connection = connection;
        _stream = PulseStream.FromInput(connection, source, Add);
        IsOwnMonitor = isOwnMonitor;
        Name = source.State.Name;
    }

    /// <summary>Whether it hears the very samples that are played, so that levels are absolute in dB of digital full scale.</summary>
    public bool IsOwnMonitor { get; }

    /// <summary>Name of what is recorded.</summary>
    public string Name { get; }

    /// <summary>Frames recorded so far.</summary>
    public long Frames
    {
        get
        {
            lock (_lock)
            {
                return _dropped + _left.Count;
            }
        }
    }

    /// <summary>Holes in the recording so far; with one, nothing after it is in its place.</summary>
    public int Holes => _stream.Holes;

    /// <summary>Opens the monitor of an output, or an input by name.</summary>
    /// <exception cref="DeviceFaultException">It is not there or not fit.</exception>
    public static LoopRecorder Open(string outputName, string? inputName, PulseSettings settings)
    {
        var connection = PulseConnection.Open(settings.Server);
        try
        {
            // only a cable can bring back what another driver plays
            var sinks = connection.Sinks();
            var played = inputName is null ? PulseDevices.Find(sinks, outputName, SoundDirection.Output) : sinks.FirstOrDefault(sink => sink.State.Name == outputName);
            var own = PulseDevice.Prefix + played?.Monitor;
            var name = inputName ?? own;
            var source = PulseDevices.Find(connection.Sources(), name, SoundDirection.Input);
            return source.State.Channels == AudioFormat.Channels
                ? new LoopRecorder(connection, source, name == own)
                : throw new DeviceFaultException(new DeviceFault(DeviceFaultKind.Lasting, $"The input \"{name}\" has one channel; the loop needs a left and a right one.", "Choose its stereo profile, or another input."));
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    /// <summary>A stretch of the recording, left and right; everything before it is let go.</summary>
    public (float[] Left, float[] Right) Take(long fromFrame, int count)
    {
        lock (_lock)
        {
            var skip = (int)Math.Clamp(fromFrame - _dropped, 0, _left.Count);
            _left.RemoveRange(0, skip);
            _right.RemoveRange(0, skip);
            _dropped += skip;
            var taken = Math.Min(count, _left.Count);
            return (CollectionsMarshal.AsSpan(_left)[..taken].ToArray(), CollectionsMarshal.AsSpan(_right)[..taken].ToArray());
        }
    }

    public void Dispose()
    {
        if (!_disposed)
        {
            _disposed = true;
            _stream.Dispose();
            _connection.Dispose();
        }
    }

    private void Add(ReadOnlySpan<float> interleaved)
    {
        lock (_lock)
        {
            for (var index = 0; index + 1 < interleaved.Length; index += AudioFormat.Channels)
            {
                _left.Add(interleaved[index]);
                _right.Add(interleaved[index + 1]);
            }
        }
    }
}
