using System.Net;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <content>A kit that fails where it was sent, the one that takes its place, and a theft.</content>
public sealed partial class KitJourneyTests
{
    private static async Task<LoanId> FailsAtTheSite(LoanRig rig, ConsoleLink link)
    {
        var desk = rig.Desk;
        await desk.Must(LoanRig.Second, Cancellation, new SetContents([new KitItem("covers", "earphone covers, pair", 4, 2) { SingleUse = true, Contact = ItemContact.Skin }]));
        var loan = await Lend(rig, LoanRig.Second, rig.Next, rig.WeekLater);
        await desk.Must(
            LoanRig.Second,
            Cancellation,
            new SignLoanPaper(loan, "Rune Hale"),
            new PackKit(loan, [new ItemCount("covers", 4)], await desk.HandIn(LoanRig.Second, SmallPicture.Png(150), Cancellation), null),
            new SendKit(loan, "T-OUT-2", _today, EntryMeans.Typed),
            Carrier(loan, CarrierStatus.Delivered));
        Assert.Equal(KitStage.Delivered, (await desk.Kit(LoanRig.Second, Cancellation)).Stage);

        // On the way its certificate was replaced by one that is over.
        File.Delete(Path.Combine(rig.SecondKit.Data, "calibration.json"));
        await rig.SecondKit.Provision("expired", Cancellation);
        await rig.SecondKit.Start("fast", enrolmentCode: null, Cancellation);
        var screen = await rig.SecondSite.ScreenWith("What should be in the case", Cancellation);
        Assert.Contains("earphone covers, pair", screen, StringComparison.Ordinal);
        Assert.Contains("case/photo", screen, StringComparison.Ordinal);
        Assert.NotEmpty(await rig.SecondSite.PackedPhoto(Cancellation));
        await desk.Must(LoanRig.Second, Cancellation, new CheckInKit(loan, [new ItemCount("covers", 4)], null, EntryMeans.Scanned));

        Assert.Null(await link.Watch(rig.Next, Cancellation));
        var end = await new ScriptedClinician(link, SessionRig.ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System)
            .Walk(Cancellation).WaitAsync(Limits.Walk, TimeProvider.System, Cancellation);
        Assert.Equal((false, SessionStage.KitCheck), (end.Closed, end.View.Stage));
        Assert.False(Assert.Single(end.View.KitCheck!.Lines, line => line.Code == "certificate").Passed);
        Assert.Equal(KitStage.CheckedInAtSite, (await desk.Kit(LoanRig.Second, Cancellation)).Stage);
        return loan;
    }

    private static async Task IsSwapped(LoanRig rig, ConsoleLink clinician, ConsoleLink colleague, LoanId failing)
    {
        // Its key went out with the loan before and served no longer from the release on; a new code lets it make another.
        Assert.Equal(HttpStatusCode.Unauthorized, (await rig.FirstSite.AskForCase(Cancellation)).Status);
        var old = await File.ReadAllTextAsync(Path.Combine(rig.FirstKit.Data, "kit-key.pem"), Cancellation);
        await rig.FirstKit.Start("fast", await rig.NewCode(LoanRig.First, Cancellation), Cancellation);
        Assert.NotEqual(old, await File.ReadAllTextAsync(Path.Combine(rig.FirstKit.Data, "kit-key.pem"), Cancellation));
        Assert.Equal(KitKeyStanding.Serves, (await rig.Desk.Kit(LoanRig.First, Cancellation)).Key!.Standing);
        var before = await rig.Desk.Fleet(Cancellation);
        var later = Assert.Single(before.Sessions, session => session.SessionId == rig.WeekLater);
        Assert.Equal((LoanRig.Second, failing), (later.KitId, later.LoanId!.Value));
        Assert.Null(await clinician.Watch(rig.WeekLater, Cancellation));
        var swap = new SwapLoan(failing, LoanId.New(), LoanRig.First, [DateOnly.FromDateTime(later.PlannedStart.UtcDateTime)], "Its certificate is over.");

        await rig.Desk.Must(swap, Cancellation);

        var seen = await clinician.Until(view => view.Kit.KitId == LoanRig.First, Cancellation).WaitAsync(Limits.End, TimeProvider.System, Cancellation);
        Assert.True(seen.Kit.Online);
        var after = await rig.Desk.Fleet(Cancellation);
        later = Assert.Single(after.Sessions, session => session.SessionId == rig.WeekLater);
        Assert.Equal((LoanRig.First, swap.NewLoanId), (later.KitId, later.LoanId!.Value));
        Assert.Equal((LoanStanding.OnLoan, swap.NewLoanId), After(failing));
        Assert.Equal((LoanStanding.Promised, null), After(swap.NewLoanId));
        Assert.Equal(KitStage.Reserved, (await rig.Desk.Kit(LoanRig.First, Cancellation)).Stage);

        // The session that had begun stays with the kit that failed, and is ended.
        Assert.Equal(LoanRig.Second, colleague.View.Kit.KitId);
        Assert.Null((await colleague.Ask(new Abort("The kit cannot be used."), Cancellation)).Refusal);

        // It says so of its own accord, and would else say it just as it is stolen.
        await rig.SecondKit.Process.WaitForLine("holds the attestation", Limits.End, Cancellation);
        Assert.Equal(0, (await rig.Desk.Kit(LoanRig.Second, Cancellation)).Unwiped);
        (await ExportedLog.Read(clinician, rig.WeekLater, Cancellation)).AssertChained();

        (LoanStanding, LoanId?) After(LoanId loan) => after.Loans.Where(known => known.Request.LoanId == loan).Select(known => (known.Standing, known.SwappedFor)).Single();
    }

    private static async Task IsStolen(LoanRig rig, LoanId loan)
    {
        Assert.Equal(HttpStatusCode.OK, (await rig.SecondSite.AskForCase(Cancellation)).Status);
        Assert.True((await rig.Desk.Kit(LoanRig.Second, Cancellation)).Online);

        var began = TimeProvider.System.GetTimestamp();
        await rig.Desk.Must(LoanRig.Second, Cancellation, new ReportKitGone(Stolen: true, "Taken from the hall.", MayHoldData: true));

        // Refused from the moment of the receipt on; the live link, which was let in before, is closed.
        Assert.Equal(HttpStatusCode.Unauthorized, (await rig.SecondSite.AskForCase(Cancellation)).Status);
        await rig.SecondKit.Process.WaitForLine("credential is revoked", Limits.End, Cancellation);
        await Eventually.Holds(() => !rig.Desk.Kit(LoanRig.Second, Cancellation).Result.Online, "the stolen kit's link is closed", Limits.End, Cancellation);
        Assert.InRange(TimeProvider.System.GetElapsedTime(began), TimeSpan.Zero, _revokedWithin);
        await rig.SecondSite.ScreenWith(NotServed, Cancellation);
        var fleet = await rig.Desk.Fleet(Cancellation);
        var incident = Assert.Single(fleet.Incidents);
        Assert.Equal((IncidentKind.Stolen, LoanRig.Second, loan), (incident.Kind, incident.KitId!.Value, incident.LoanId!.Value));
        Assert.Equal(LoanStanding.Gone, Assert.Single(fleet.Past, past => past.Request.LoanId == loan).Standing);
        Assert.Equal(KitStage.Stolen, (await rig.Desk.Kit(LoanRig.Second, Cancellation)).Stage);
        Assert.True((await rig.Desk.Kit(LoanRig.First, Cancellation)).Online);
        Assert.Equal("kit.gone", (await StoredKitLog.KindsOfAWholeChain(rig.Hub.Data, LoanRig.Second, Cancellation))[^1]);
        await LoanRig.Verb(Cancellation, "doctor", "--data", rig.Hub.Data);
    }
}
