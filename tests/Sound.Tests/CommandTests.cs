using System.Text.Json;
using TeleHearing.Sound.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Sound.Tests;

/// <summary>The verbs about sound, as they are run on a kit.</summary>
public sealed class CommandTests
{
    private static readonly TimeSpan _limit = TimeSpan.FromMinutes(4);

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static RealProcess Agent(SoundServer? server, params string[] arguments) =>
        RealProcess.Start("env", [$"PULSE_SERVER={server?.Address ?? "unix:/nonexistent/native"}", "dotnet", BuiltPrograms.SiteAgent, .. arguments]);

    [Fact]
    public async Task DevicesAreListedWithWhatTheyAreAndWhyTheyAreNotFit()
    {
        await using var server = await SoundServer.StartAsync();
        await server.ControlAsync("load-module", "module-null-sink", "sink_name=slow", "rate=44100", "format=s16le");
        await using var devices = Agent(server, "devices");

        Assert.Equal(0, await devices.WaitForExit(_limit, Cancel));

        var text = devices.Text();
        Assert.Contains("pulse:kit", text, StringComparison.Ordinal);
        Assert.Contains("48000 Hz, 32 bit floats, 2 channels, 100 %", text, StringComparison.Ordinal);
        Assert.Contains("    fit", devices.Lines);
        Assert.Contains("pulse:slow", text, StringComparison.Ordinal);
        Assert.Contains("not fit: The sound output", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WithoutASoundServerTheListSaysSo()
    {
        await using var devices = Agent(null, "devices");

        Assert.Equal(0, await devices.WaitForExit(_limit, Cancel));
        Assert.Contains("sound server of this machine does not answer", devices.Text(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnOutputThatPassesSamplesUnchangedKeepsEveryLimit()
    {
        using var folder = new TempFolder();
        await using var server = await SoundServer.StartAsync();
        await using var verify = Agent(server, "verify", "--nobody-wears", "--quick", "--device", "pulse:kit", "--out", folder.Path);

        Assert.True(await verify.WaitForExit(_limit, Cancel) == 0, verify.Text());

        using var report = JsonDocument.Parse(await File.ReadAllTextAsync(folder.Inside("report.json"), Cancel));
        var findings = report.RootElement.GetProperty("findings").EnumerateArray().ToList();
        var topics = findings.Select(finding => finding.GetProperty("topic").GetString()).Distinct().ToList();
        Assert.True(report.RootElement.GetProperty("passed").GetBoolean());
        Assert.True(report.RootElement.GetProperty("absolute").GetBoolean());
        string[] wanted = ["level of the tone", "level of the pulsed tone", "level of the warble tone", "level of the masking noise", "level of the speech noise", "frequency", "harmonic distortion", "crosstalk to the other ear", "rise time", "fall time", "pulse, time on", "warble, deviation", "masking noise, width of the band", "noise in silence"];
        Assert.All(wanted, topic => Assert.Contains(topic, topics));
        Assert.All(findings.Where(finding => finding.GetProperty("topic").GetString()!.StartsWith("level of", StringComparison.Ordinal)), finding => Assert.Equal(0, finding.GetProperty("measured").GetDouble(), 0.01));
        var page = await File.ReadAllTextAsync(folder.Inside("report.html"), Cancel);
        Assert.Contains("<svg", page, StringComparison.Ordinal);
        Assert.Contains("from memory", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task OverASecondDeviceLevelsAreRelativeToTheReferenceTone()
    {
        using var folder = new TempFolder();
        await using var server = await SoundServer.StartAsync();
        // stands for a cable: another device, of 24 bits, fed from the first one, 6 dB quieter
        await server.ControlAsync("load-module", "module-null-sink", "sink_name=cable", "rate=48000", "format=s24le", "channels=2");
        await server.ControlAsync("set-sink-volume", "cable", "80%");
        await server.ControlAsync("load-module", "module-loopback", "source=kit.monitor", "sink=cable", "latency_msec=1000", "adjust_time=0");
        await using var verify = Agent(server, "verify", "--nobody-wears", "--quick", "--device", "pulse:kit", "--input", "pulse:cable.monitor", "--out", folder.Path);

        Assert.True(await verify.WaitForExit(_limit, Cancel) == 0, verify.Text());

        using var report = JsonDocument.Parse(await File.ReadAllTextAsync(folder.Inside("report.json"), Cancel));
        Assert.False(report.RootElement.GetProperty("absolute").GetBoolean());
        Assert.Contains(report.RootElement.GetProperty("findings").EnumerateArray(), finding => finding.GetProperty("verdict").GetString() == "NotJudged" && finding.GetProperty("topic").GetString() == "level of the tone");
    }

    [Fact]
    public async Task AnOutputThatIsMutedIsNotVerified()
    {
        using var folder = new TempFolder();
        await using var server = await SoundServer.StartAsync();
        await server.ControlAsync("set-sink-mute", SoundServer.Sink, "1");
        await using var verify = Agent(server, "verify", "--nobody-wears", "--quick", "--device", "pulse:kit", "--out", folder.Path);

        Assert.Equal(1, await verify.WaitForExit(_limit, Cancel));
        Assert.Contains("is muted", verify.Text(), StringComparison.Ordinal);
        Assert.False(File.Exists(folder.Inside("report.html")));
    }

    [Fact]
    public async Task AnOutputThatIsNotThereIsNamed()
    {
        using var folder = new TempFolder();
        await using var server = await SoundServer.StartAsync();
        await using var verify = Agent(server, "verify", "--nobody-wears", "--quick", "--device", "pulse:nowhere", "--out", folder.Path);

        Assert.Equal(1, await verify.WaitForExit(_limit, Cancel));
        Assert.Contains("There is no sound output \"pulse:nowhere\"", verify.Text(), StringComparison.Ordinal);
        Assert.Contains("No report was written.", verify.Text(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ACableThatLeadsNowhereIsNotVerified()
    {
        using var folder = new TempFolder();
        await using var server = await SoundServer.StartAsync();
        await server.ControlAsync("load-module", "module-null-sink", "sink_name=other", "rate=48000", "format=float32le");
        await using var verify = Agent(server, "verify", "--nobody-wears", "--quick", "--device", "pulse:kit", "--input", "pulse:other.monitor", "--out", folder.Path);

        Assert.Equal(1, await verify.WaitForExit(_limit, Cancel));
        Assert.Contains("did not come back", verify.Text(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnExpiredKitIsRefusedBeforeAnythingIsPlayed()
    {
        using var folder = new TempFolder();
        TeleHearing.Site.Agent.Devices.Provisioner.Write(folder.Path, TeleHearing.Site.Agent.Devices.CertificateChoice.Expired, TimeProvider.System);
        await using var verify = Agent(null, "verify", "--nobody-wears", "--data", folder.Path, "--device", "pulse:kit", "--out", folder.Inside("report"));

        Assert.Equal(2, await verify.WaitForExit(_limit, Cancel));
        Assert.Contains("Without --data", verify.Text(), StringComparison.Ordinal);
    }
}
