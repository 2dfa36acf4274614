using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Disks that are full or cannot be written: nothing is acknowledged that is not stored, and the program goes on when there is room again.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class DiskTests
{
    [Fact]
    public async Task AHubOnAReadOnlyFolderSaysWhatToDo()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var disk = SmallDisk.Mount(1024);
        disk.SetReadOnly(readOnly: true);

        await using var hub = RealProcess.Dotnet(BuiltPrograms.Hub, "serve", "--data", Path.Combine(disk.Path, "hub"), "--urls", "http://127.0.0.1:0");

        Assert.Equal(2, await hub.WaitForExit(Limits.Start, cancellation));
        Assert.Contains("cannot be written", hub.Text(), StringComparison.Ordinal);
        Assert.Contains("--data", hub.Text(), StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", hub.Text(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AHubOnAFullDiskSaysWhatToDo()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var disk = SmallDisk.Mount(256);
        disk.Fill();

        await using var hub = RealProcess.Dotnet(BuiltPrograms.Hub, "serve", "--data", disk.Path, "--urls", "http://127.0.0.1:0");

        Assert.Equal(2, await hub.WaitForExit(Limits.Start, cancellation));
        Assert.Contains("make room", hub.Text(), StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("   at ", hub.Text(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ADiskThatFillsInTheMiddleRefusesAndGoesOnWhenThereIsRoom()
    {
        var cancellation = TestContext.Current.CancellationToken;
        using var disk = SmallDisk.Mount(24 * 1024);
        await using var rig = await SessionRig.Start("valid", "fast", disk.Path, cancellation);
        var before = await rig.WalkTo(SessionStage.Consent, cancellation);

        var filler = disk.Fill();
        Receipt? refused = null;
        for (var i = 0; i < 200 && refused is null; i++)
        {
            // The database may hold a few free pages; a long note soon needs more.
            var receipt = await rig.Link.Ask(new AddNote(string.Create(CultureInfo.InvariantCulture, $"note {i} ") + new string('n', 1500)), cancellation);
            refused = receipt.Accepted() ? null : receipt;
        }

        Assert.Equal(RefusalCodes.StorageFault, refused?.Refusal?.Code);
        Assert.NotNull(refused?.Refusal?.Remedy);
        Assert.False(rig.Hub.Process.HasExited);

        File.Delete(filler);
        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(end.Closed, end.Sentence);
        Assert.True(end.View.Integrity.Valid);
        Assert.True(end.View.Version > before.Version);
    }
}
