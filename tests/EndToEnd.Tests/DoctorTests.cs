using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>What the doctor says. A changed log is tried in <see cref="TamperedLogTests"/>.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class DoctorTests
{
    [Fact]
    public async Task AHealthyHubIsFoundHealthy()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var hub = await HubRig.Start(cancellation);

        var (code, lines) = await Examine(hub.Data, cancellation);

        Assert.Equal(0, code);
        Assert.DoesNotContain(lines, line => line.StartsWith("FAULT", StringComparison.Ordinal));
        Assert.Contains(lines, line => line.EndsWith($"{hub.Data} is in use by a running hub.", StringComparison.Ordinal));
        Assert.All(
            new[] { "data folder:", "disk:", "port 5080:", "port 5090:", "database:", "database pages:", "session logs:", "clock:", "monotonic clock:", "hub:", "site agent:", "simulated sound card:" },
            subject => Assert.Contains(lines, line => line[11..].StartsWith(subject, StringComparison.Ordinal)));
    }

    [Fact]
    public async Task AFolderThatIsNotThereYetIsNoFault()
    {
        using var folder = new TempFolder();
        var (code, lines) = await Examine(folder.Inside("absent"), TestContext.Current.CancellationToken);

        Assert.Equal(0, code);
        Assert.Contains(lines, line => line.StartsWith("attention", StringComparison.Ordinal) && line.Contains("absent", StringComparison.Ordinal));
        Assert.False(Directory.Exists(folder.Inside("absent")));
    }

    [Fact]
    public async Task AFileThatIsNoDatabaseIsAFaultWithAMend()
    {
        using var folder = new TempFolder();
        await File.WriteAllTextAsync(folder.Inside("hub.db"), new string('x', 8192), TestContext.Current.CancellationToken);

        var (code, lines) = await Examine(folder.Path, TestContext.Current.CancellationToken);

        Assert.Equal(1, code);
        Assert.Contains(lines, line => line.StartsWith("FAULT", StringComparison.Ordinal) && line.Contains("backup", StringComparison.Ordinal));
        Assert.DoesNotContain(lines, line => line.StartsWith("   at ", StringComparison.Ordinal));
    }

    private static async Task<(int Code, IReadOnlyList<string> Lines)> Examine(string folder, CancellationToken cancellation)
    {
        await using var doctor = RealProcess.Dotnet(BuiltPrograms.Hub, "doctor", "--data", folder);
        var code = await doctor.WaitForExit(Limits.Start, cancellation);
        return (code, doctor.Lines);
    }
}
