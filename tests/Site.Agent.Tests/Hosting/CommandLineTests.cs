using System.Text.Json;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Hosting;

/// <summary>The program as it is started on a kit.</summary>
public sealed class CommandLineTests
{
    private static readonly TimeSpan _limit = TimeSpan.FromSeconds(60);

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static RealProcess Run(TempFolder folder, string hub, params string[] more) =>
        RealProcess.Dotnet(BuiltPrograms.SiteAgent, ["run", "--hub", hub, "--data", folder.Path, .. more]);

    [Fact]
    public async Task ProvisionWritesAKitOnceAndNeverOverIt()
    {
        using var folder = new TempFolder();
        Provisioner.Write(folder.Path, CertificateChoice.Expired, TimeProvider.System);
        var first = await File.ReadAllTextAsync(folder.Inside("calibration.json"), Cancel);

        await using var process = RealProcess.Dotnet(BuiltPrograms.SiteAgent, "provision", "--data", folder.Path, "--kit", "simulated", "--certificate", "valid");
        Assert.Equal(0, await process.WaitForExit(_limit, Cancel));

        Assert.Equal(first, await File.ReadAllTextAsync(folder.Inside("calibration.json"), Cancel));
        Assert.NotNull(JsonSerializer.Deserialize<CalibrationRecord>(first, Protocol.Json));
        Assert.Equal([$"left as it was: {folder.Inside("kit.json")}", $"left as it was: {folder.Inside("calibration.json")}", $"left as it was: {folder.Inside("calibration-bone.json")}"], process.Lines);
    }

    [Theory]
    [InlineData("0")]
    [InlineData("off")]
    public async Task AKitThatIsNotEnrolledSaysSoInOneSentenceWithOrWithoutItsScreen(string screen)
    {
        using var folder = new TempFolder();
        Provisioner.Write(folder.Path, CertificateChoice.Valid, TimeProvider.System);

        await using var process = Run(folder, "http://127.0.0.1:9/", "--simulate", "demo", "--screen", screen);

        Assert.Equal(2, await process.WaitForExit(_limit, Cancel));
        Assert.Contains("not enrolled", process.Text(), StringComparison.Ordinal);
        Assert.DoesNotContain("Exception", process.Text(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AFolderThatHoldsAnotherKitIsNotProvisionedAgain()
    {
        using var folder = new TempFolder();
        Provisioner.Write(folder.Path, CertificateChoice.Missing, TimeProvider.System);
        var before = await File.ReadAllTextAsync(folder.Inside("kit.json"), Cancel);

        await using var process = RealProcess.Dotnet(BuiltPrograms.SiteAgent, "provision", "--data", folder.Path, "--kit", "simulated", "--number", "2");

        Assert.Equal(2, await process.WaitForExit(_limit, Cancel));
        Assert.Equal([$"{folder.Path} holds kit 1 (unit SIM-UNIT-0001) already. Nothing was changed. Choose an empty folder for kit 2."], process.Lines);
        Assert.Equal(before, await File.ReadAllTextAsync(Assert.Single(Directory.GetFiles(folder.Path)), Cancel));
    }

    [Fact]
    public async Task ProvisionSaysWhatItWrote()
    {
        using var folder = new TempFolder();

        await using var process = RealProcess.Dotnet(BuiltPrograms.SiteAgent, "provision", "--data", folder.Path, "--kit", "simulated");

        Assert.Equal(0, await process.WaitForExit(_limit, Cancel));
        Assert.Equal([$"written: {folder.Inside("kit.json")}", $"written: {folder.Inside("calibration.json")}", $"written: {folder.Inside("calibration-bone.json")}"], process.Lines);
    }

    [Fact]
    public async Task AFolderInUseIsRefusedUntilTheOtherProgramIsGoneHoweverItEnded()
    {
        using var folder = new TempFolder();
        Provisioner.Write(folder.Path, CertificateChoice.Valid, TimeProvider.System);
        string[] more = ["--enrol", "NONE", "--simulate", "demo", "--screen", "0"];
        await using var first = Run(folder, "http://127.0.0.1:1", more);
        await first.WaitForLine("kit screen:", _limit, Cancel);

        await using var second = Run(folder, "http://127.0.0.1:1", more);
        Assert.Equal(2, await second.WaitForExit(_limit, Cancel));
        Assert.Contains(second.Lines, line => line.Contains(folder.Path, StringComparison.Ordinal) && line.Contains("--data", StringComparison.Ordinal));

        first.KillHard();
        await using var third = Run(folder, "http://127.0.0.1:1", more);
        await third.WaitForLine("kit screen:", _limit, Cancel);
    }

    [Fact]
    public async Task AKitLinksSaysWhereItsScreenIsAndEndsCleanly()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        Provisioner.Write(folder.Path, CertificateChoice.Valid, TimeProvider.System);
        using var taken = FreePorts.Occupy(out var port);

        await using var process = Run(folder, hub.Address.ToString(), "--enrol", "GOOD", "--simulate", "demo", "--screen", $"{port}");
        var screen = await process.WaitForLine(line => line.StartsWith("kit screen: http://localhost:", StringComparison.Ordinal), _limit, Cancel);
        await process.WaitForLine(line => line.StartsWith("linked to ", StringComparison.Ordinal), _limit, Cancel);
        using var http = new HttpClient();
        var page = await http.GetStringAsync(screen["kit screen: ".Length..], Cancel);
        process.Interrupt();

        Assert.Equal(0, await process.WaitForExit(_limit, Cancel));
        Assert.Contains(process.Lines, line => line.StartsWith($"port {port} is taken; the kit screen uses ", StringComparison.Ordinal));
        Assert.Contains("Stop", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("BAD", "demo", "did not enrol this kit")]
    [InlineData("GOOD", "no-such-file.csv", "no-such-file.csv")]
    public async Task AFatalFaultIsOneClearLineAndExitCodeTwo(string code, string listener, string words)
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        Provisioner.Write(folder.Path, CertificateChoice.Valid, TimeProvider.System);

        await using var process = Run(folder, hub.Address.ToString(), "--enrol", code, "--simulate", listener, "--screen", "off");

        Assert.Equal(2, await process.WaitForExit(_limit, Cancel));
        Assert.Contains(words, Assert.Single(process.Lines, line => line.Contains(words, StringComparison.Ordinal)), StringComparison.Ordinal);
        Assert.DoesNotContain(process.Lines, line => line.Contains("   at ", StringComparison.Ordinal));
    }

    [Fact]
    public async Task AnEmptyFolderIsToldHowToBeFilled()
    {
        using var folder = new TempFolder();

        await using var process = Run(folder, "http://127.0.0.1:1", "--simulate", "demo", "--screen", "off");

        Assert.Equal(2, await process.WaitForExit(_limit, Cancel));
        Assert.Contains($"dotnet run --project src/Site.Agent -- provision --data {folder.Path} --kit simulated", process.Text(), StringComparison.Ordinal);
    }
}
