using Microsoft.Data.Sqlite;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Audit;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>Disks that do not make durable what they are asked to, and a hub whose data are put back to an older state, while a kit knows better.</summary>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class StorageFaultTests
{
    [Fact]
    public async Task WhatCouldNotBeMadeDurableIsRefusedAndTheSessionGoesOnAfterwards()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        await rig.WalkTo(SessionStage.Consent, cancellation);
        await rig.Must(new AddNote("before"), cancellation);
        await using (await FailingSync.Of(rig.Hub.Process, cancellation))
        {
            var refused = await rig.Link.Ask(new AddNote("meanwhile"), cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
            Assert.Equal(RefusalCodes.StorageFault, refused.Refusal?.Code);
        }

        await rig.Must(new AddNote("after"), cancellation);
        await rig.Hub.Kill(cancellation);
        await rig.Hub.StartAgain(cancellation);
        await rig.Link.Until(view => view.Kit.Online, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        Assert.Equal(["before", "after"], rig.Link.View.Notes.Select(note => note.Text));

        // At real-time pace, so that the search still goes on when the disk begins to fail.
        await rig.WalkTo(SessionStage.Testing, cancellation);
        await rig.Agent.Kill(cancellation);
        await rig.Agent.Start("realtime", enrolmentCode: null, cancellation);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        var receipt = await rig.Link.Ask(new OrderStep(new SearchEarStep(Audiology.Ear.Right, [1000, 4000], Audiology.PureTone.StoppingRule.TwoOfThree, Audiology.Signals.ToneShape.Steady), LoudConfirmed: false), cancellation);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        await using (await FailingSync.Of(rig.Agent.Process, cancellation))
        {
            // A kit that cannot write down what it does ends the step and says so once it can.
            await rig.Agent.Process.WaitForLine("disk", Limits.Start, cancellation);
        }

        await rig.Agent.Kill(cancellation);
        await rig.Agent.Start("fast", enrolmentCode: null, cancellation);
        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(end.Closed, $"{end.Sentence}\nagent:\n{rig.Agent.Process.Text()}\nhub:\n{rig.Hub.Process.Text()}");
        Assert.True(end.View.Integrity.Valid);
        await WholeLog.AssertOf(rig.Link, rig.Hub.Session, cancellation);
    }

    [Fact]
    public async Task AHubPutBackToAnOlderStateIsToldOnByItsKitAndTheSessionGoesOnFromThere()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        await rig.WalkTo(SessionStage.RoomNoise, cancellation);
        await rig.Hub.Kill(cancellation);
        using var kept = new Testing.TempFolder();
        Copy(rig.Hub.Data, kept.Path);
        await rig.Hub.StartAgain(cancellation);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        await rig.Carry(new PresentToneStep(Audiology.Ear.Right, 1000, 40, Audiology.Signals.ToneShape.Steady, 300), loudConfirmed: false, cancellation);

        await rig.Hub.Kill(cancellation);
        Directory.Delete(rig.Hub.Data, recursive: true);
        Copy(kept.Path, rig.Hub.Data);
        await rig.Hub.StartAgain(cancellation);

        // A console drops a picture older than the one it shows; whoever opens it anew sees the session as it is.
        await using var again = await rig.Hub.SignIn(cancellation);
        await again.Until(view => view.Kit.Online, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        Assert.NotEqual(SessionStage.Testing, again.View.Stage);
        Assert.True(again.View.Integrity.Valid);
        Assert.True(await HeadsMissing(rig.Hub.Data, cancellation) > 0, "The kit held heads of what is gone, and nobody was told.");
    }

    private static void Copy(string from, string to)
    {
        foreach (var file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            var target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target, overwrite: true);
        }
    }

    private static async Task<long> HeadsMissing(string folder, CancellationToken cancellationToken)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(folder, "hub.db")};Mode=ReadOnly;Pooling=False");
        await connection.OpenAsync(cancellationToken);
        await using var count = connection.CreateCommand();
        count.CommandText = "SELECT COUNT(*) FROM audit_entries WHERE Kind = $kind";
        count.Parameters.AddWithValue("$kind", AuditActs.HeadMissing);
        return (long)(await count.ExecuteScalarAsync(cancellationToken))!;
    }
}
