using System.Globalization;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Audio.Pulse;
using TeleHearing.Testing;

namespace TeleHearing.Sound.Tests.Support;

/// <summary>A sound server of the test's own: a null sink named "kit" on a socket in a folder of its own. Nothing of the machine's sound is touched.</summary>
internal sealed class SoundServer : IAsyncDisposable
{
    public const string Sink = "kit";
    private static readonly TimeSpan _limit = TimeSpan.FromSeconds(60);
    private readonly TempFolder _folder;
    private readonly RealProcess _process;

    private SoundServer(TempFolder folder, RealProcess process) => (_folder, _process) = (folder, process);

    /// <summary>Address for <see cref="PulseSettings.Server"/>.</summary>
    public string Address => $"unix:{_folder.Inside("native")}";

    public int ProcessId => _process.Id;

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    /// <summary>Starts it and waits until it answers.</summary>
    public static async Task<SoundServer> StartAsync(int rateHz = AudioFormat.SampleRateHz, string format = "float32le", int channels = 2, string map = "front-left,front-right")
    {
        var folder = new TempFolder();
        var sink = string.Create(CultureInfo.InvariantCulture, $"module-null-sink sink_name={Sink} rate={rateHz} format={format} channels={channels} channel_map={map}");
        RealProcess process;
        try
        {
            process = RealProcess.Start("env",
            [
                $"XDG_RUNTIME_DIR={folder.Path}", $"HOME={folder.Path}", "pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--log-target=stderr",
                "-L", $"module-native-protocol-unix socket={folder.Inside("native")} auth-anonymous=1", "-L", sink,
            ]);
        }
        catch (System.ComponentModel.Win32Exception fault)
        {
            throw new InvalidOperationException("The test needs the packages pulseaudio, pulseaudio-utils, libasound2 and libasound2-plugins. Run tests/all.sh, which installs them.", fault);
        }

        var server = new SoundServer(folder, process);
        await Wait.UntilAsync(() => process.HasExited || server.Answers());
        return process.HasExited ? throw new InvalidOperationException($"The sound server did not start. Install pulseaudio (tests/all.sh does).\n{process.Text()}") : server;
    }

    public PulseSettings Settings(double latencyMs = 1000) => new(Address, latencyMs);

    public PulseOutput Open(double latencyMs = 1000) => PulseOutput.Open(PulseDevice.Prefix + Sink, Settings(latencyMs), TimeProvider.System);

    /// <summary>Runs the system's own control program against it.</summary>
    public async Task<string> ControlAsync(params string[] arguments)
    {
        await using var control = RealProcess.Start("pactl", ["--server", Address, .. arguments]);
        var code = await control.WaitForExit(_limit, Cancel);
        return code == 0 ? control.Text() : throw new InvalidOperationException($"pactl {string.Join(' ', arguments)} ended with {code}: {control.Text()}");
    }

    /// <summary>Sends the server a signal by its name.</summary>
    public async Task SignalAsync(string signal)
    {
        await using var kill = RealProcess.Start("kill", [$"-{signal}", ProcessId.ToString(CultureInfo.InvariantCulture)]);
        Assert.Equal(0, await kill.WaitForExit(_limit, Cancel));
    }

    public async ValueTask DisposeAsync()
    {
        _process.KillHard();
        await _process.DisposeAsync();
        _folder.Dispose();
    }

    private bool Answers()
    {
        if (!File.Exists(_folder.Inside("native")))
        {
            return false;
        }

        try
        {
            using var connection = PulseConnection.Open(Address);
            return connection.Sinks().Any(sink => sink.State.Name == PulseDevice.Prefix + Sink);
        }
        catch (DeviceFaultException)
        {
            // not ready yet
            return false;
        }
    }
}
