using System.Diagnostics;
using System.Runtime.InteropServices;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Sound.Tests.Support;

/// <summary>Everything the sink plays, recorded by the system's own recorder (parec), which shares no code with the kit.</summary>
internal sealed class Recording : IAsyncDisposable
{
    private readonly Process _process;
    private readonly Lock _gate = new();
    private readonly MemoryStream _bytes = new();
    private readonly Task _reading;

    private Recording(Process process)
    {
        _process = process;
        _reading = Task.Run(ReadAsync);
    }

    public long Frames
    {
        get
        {
            lock (_gate)
            {
                return _bytes.Length / (AudioFormat.Channels * sizeof(float));
            }
        }
    }

    /// <summary>Starts recording and returns once sound, silent so far, comes in.</summary>
    public static async Task<Recording> StartAsync(SoundServer server)
    {
        var start = new ProcessStartInfo("parec") { RedirectStandardOutput = true, UseShellExecute = false };
        foreach (var argument in new[] { $"--server={server.Address}", $"--device={SoundServer.Sink}.monitor", "--format=float32le", "--rate=48000", "--channels=2", "--raw", "--latency-msec=50" })
        {
            start.ArgumentList.Add(argument);
        }

        var recording = new Recording(Process.Start(start) ?? throw new InvalidOperationException("parec did not start."));
        await Wait.UntilAsync(() => recording.Frames > 0);
        return recording;
    }

    /// <summary>The interleaved samples so far.</summary>
    public float[] Samples()
    {
        lock (_gate)
        {
            return MemoryMarshal.Cast<byte, float>(_bytes.GetBuffer().AsSpan(0, (int)(Frames * AudioFormat.Channels * sizeof(float)))).ToArray();
        }
    }

    /// <summary>Waits until at least this many more frames came in.</summary>
    public Task MoreAsync(long frames)
    {
        var until = Frames + frames;
        return Wait.UntilAsync(() => Frames >= until || _process.HasExited);
    }

    public async ValueTask DisposeAsync()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
        }

        await _reading;
        _process.Dispose();
        _bytes.Dispose();
    }

    private async Task ReadAsync()
    {
        var buffer = new byte[65_536];
        while (await _process.StandardOutput.BaseStream.ReadAsync(buffer) is var count and > 0)
        {
            lock (_gate)
            {
                _bytes.Write(buffer, 0, count);
            }
        }
    }
}
