using System.Security.Cryptography;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests;

/// <content>A loan from the packing to the shelf, with a session in between.</content>
public sealed partial class KitJourneyTests
{
    private static async Task GoesOut(LoanRig rig, LoanId loan)
    {
        var desk = rig.Desk;
        var photo = await desk.HandIn(LoanRig.First, SmallPicture.Png(200), Cancellation);
        var few = await desk.Ask(LoanRig.First, new PackKit(loan, Counts(covers: 1), photo, "S-1"), Cancellation);
        Assert.Equal(RefusalCodes.ItemsMissing, few?.Code);
        Assert.Equal(RefusalCodes.StageDoesNotAllow, (await desk.Ask(LoanRig.First, Carrier(loan, CarrierStatus.Delivered), Cancellation))?.Code);
        Assert.Equal(RefusalCodes.ConsentMissing, (await desk.Ask(LoanRig.First, new PackKit(loan, Counts(covers: 4), photo, "S-1"), Cancellation))?.Code);
        await desk.Must(LoanRig.First, Cancellation, new SignLoanPaper(loan, "Rune Hale") { Language = "en", TextVersion = 1 }, new PackKit(loan, Counts(covers: 4), photo, "S-1"), new StageKit(loan));
        await desk.Must(LoanRig.First, Cancellation, new WithdrawLoanConsent(loan, ConsentParty.Themself, ConsentMeans.Spoken, "unsure"));
        Assert.NotNull(await desk.Ask(LoanRig.First, new SendKit(loan, "T-OUT-1", _today, EntryMeans.Scanned), Cancellation));
        await desk.Must(
            LoanRig.First,
            Cancellation,
            new SignLoanPaper(loan, "Rune Hale"),
            new SendKit(loan, "T-OUT-1", _today, EntryMeans.Scanned),
            Carrier(loan, CarrierStatus.HandedOver),
            Carrier(loan, CarrierStatus.UnderWay, new ParcelReadings(4, 21, 12)),
            Carrier(loan, CarrierStatus.DeliveryFailed) with { Reason = CarrierReason.NobodyThere });

        var kit = await desk.Kit(LoanRig.First, Cancellation);
        Assert.Equal((KitStage.InTransitOut, "T-OUT-1"), (kit.Stage, kit.Loans[0].Tracking));
        Assert.Equal([CarrierStatus.HandedOver, CarrierStatus.UnderWay, CarrierStatus.DeliveryFailed], kit.Loans[0].Carrier.Select(entry => entry.Status));
    }

    private static async Task IsUsed(LoanRig rig, ConsoleLink link, LoanId loan)
    {
        // The carrier said nothing of an arrival: that the kit is there proves it.
        await rig.FirstKit.Start("fast", enrolmentCode: null, Cancellation);
        var (site, desk) = (rig.FirstSite, rig.Desk);
        await site.ScreenWith("Charge the kit first", Cancellation);
        var packed = (await desk.Kit(LoanRig.First, Cancellation)).Counts.Single(count => count.Occasion == CountOccasion.Packed);
        var shown = await site.PackedPhoto(Cancellation);
        Assert.Equal(packed.Photo, Convert.ToHexStringLower(SHA256.HashData(shown)));
        Assert.Equal(await desk.Photo(LoanRig.First, packed.Photo!, Cancellation), shown);
        var inCase = (await site.AskForCase(Cancellation)).Case!;
        Assert.Equal(_contents.Select(item => item.ItemId), inCase.Items.Select(item => item.ItemId));
        Assert.Equal((packed.Photo, true), (inCase.Packed?.Photo, inCase.ChargeFirst));

        // What forbids testing stops the session at its kit check though the kit finds nothing wrong with itself, and lets it on once it is lifted.
        await desk.Must(LoanRig.First, Cancellation, new PlaceHold(KitHoldKind.BatterySuspect, "The site says that it is warm."));
        Assert.Null(await link.Watch(rig.Session, Cancellation));
        var doctor = new ScriptedClinician(link, SessionRig.ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System);
        var held = await Walk(rig.FirstKit, doctor, view => view is { Stage: SessionStage.KitCheck, KitCheck.Passed: true, Step: not { Ending: null } });
        Assert.Contains("warm", Assert.Single(held.Needs, need => need is { Code: "kit-fit", Met: false }).Detail, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.GateNotMet, (await link.Ask(new Advance(), Cancellation)).Refusal?.Code);
        Assert.Equal(KitStage.InTransitOut, (await desk.Kit(LoanRig.First, Cancellation)).Stage);
        await desk.Must(LoanRig.First, Cancellation, new LiftHold(KitHoldKind.BatterySuspect, "It lay in the sun; cool and whole."));
        await link.Until(view => view.Needs.Any(need => need is { Code: "kit-fit", Met: true }), Cancellation).WaitAsync(Limits.End, TimeProvider.System, Cancellation);
        await Walk(rig.FirstKit, doctor, view => view.Stage == SessionStage.RoomNoise);
        var used = await desk.Kit(LoanRig.First, Cancellation);
        Assert.Equal(KitStage.InUse, used.Stage);
        Assert.Equal("in-use", used.Loans[0].Steps[^1].Name);

        await Walk(rig.FirstKit, doctor, view => view.Stage == SessionStage.Handoff);
        var packing = await site.ScreenWith("Put everything back", Cancellation);
        Assert.All(_contents, item => Assert.Contains(item.Kind, packing, StringComparison.Ordinal));
        var photo = await site.TakePhoto(SmallPicture.Png(90), Cancellation);
        await desk.Must(LoanRig.First, Cancellation, new PackUpKit(loan, Counts(covers: 3), photo, "S-2"));
        Assert.NotEmpty(await desk.Photo(LoanRig.First, photo, Cancellation));
        var closed = await Walk(rig.FirstKit, doctor, view => view.Stage == SessionStage.Closed);
        Assert.NotEmpty(closed.Thresholds);
        await site.ScreenWith("The case is packed", Cancellation);
        Assert.Equal(KitStage.AwaitingReturn, (await desk.Kit(LoanRig.First, Cancellation)).Stage);
        // Switched off only once it has said that nothing of the session is left on it: it could not be released otherwise.
        await rig.FirstKit.Process.WaitForLine("holds the attestation", Limits.End, Cancellation);
        Assert.Equal(0, (await desk.Kit(LoanRig.First, Cancellation)).Unwiped);
        await rig.FirstKit.Kill(Cancellation);
    }

    private static async Task ComesBack(LoanRig rig, LoanId loan)
    {
        var desk = rig.Desk;
        var photo = await desk.HandIn(LoanRig.First, SmallPicture.Png(60), Cancellation);
        await desk.Must(
            LoanRig.First,
            Cancellation,
            new SendKit(loan, "T-BACK-1", _today, EntryMeans.Typed),
            Carrier(loan, CarrierStatus.HandedOver),
            Carrier(loan, CarrierStatus.Delivered),
            new ReceiveKit("T-BACK-1", Counts(covers: 3), photo, EntryMeans.Scanned));
        var again = await desk.Ask(LoanRig.First, new ReceiveKit("T-BACK-1", [], null, EntryMeans.Typed), Cancellation);
        Assert.Contains("received it", again?.Sentence, StringComparison.Ordinal);

        var kit = await desk.Kit(LoanRig.First, Cancellation);
        Assert.Equal((KitStage.Received, "received"), (kit.Stage, Assert.Single(kit.PastLoans).Ended));
        Assert.Equal(photo, kit.Counts.Single(count => count.Occasion == CountOccasion.Received).Photo);
        Assert.Equal(LoanStanding.Back, Assert.Single((await desk.Fleet(Cancellation)).Past, past => past.Request.LoanId == loan).Standing);
    }

    private static async Task IsMadeReady(LoanRig rig)
    {
        var desk = rig.Desk;
        await desk.Must(LoanRig.First, Cancellation, new QuarantineKit(TimeProvider.System.GetUtcNow().AddHours(24), "Somebody at the site was ill."));
        Assert.Equal(RefusalCodes.GateNotMet, (await desk.Ask(LoanRig.First, new BeginCleaning(null), Cancellation))?.Code);
        await desk.Must(LoanRig.First, Cancellation, new BeginCleaning("Wiped at the door in the clinic's presence."));
        foreach (var (step, counts) in new (KitStage, IReadOnlyList<ItemCount>)[] { (KitStage.Cleaning, [new("covers", 1)]), (KitStage.Inspection, Counts(covers: 2)), (KitStage.Restock, Counts(covers: 4)) })
        {
            var kit = await desk.Kit(LoanRig.First, Cancellation);
            Assert.Equal(step, kit.Stage);
            await desk.Must(LoanRig.First, Cancellation, new SignTurnaround(step, [.. kit.Checklist.Select(line => new FunctionAnswer(line.Code, true))], counts, null, null));
        }

        Assert.NotNull(await desk.Ask(LoanRig.First, new ReleaseKit(), Cancellation));
        await desk.Must(
            LoanRig.First,
            Cancellation,
            new RecordFunctionCheck([.. FunctionLines.All.Select(line => new FunctionAnswer(line.Code, true))], null),
            new ReleaseKit());
        var ready = await desk.Kit(LoanRig.First, Cancellation);
        Assert.Equal(KitStage.Available, ready.Stage);
        Assert.Empty(ready.HoldList);
        Assert.Equal(KitKeyStanding.Retired, ready.Key!.Standing);
    }
}
