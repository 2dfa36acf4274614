using System.Net;
using System.Security.Cryptography;
using System.Text.Json;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Kits that go out and come back: a loan from the request to the shelf with a session in between, a kit that fails where it was sent and is swapped, and one that is stolen.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class KitJourneyTests(ITestOutputHelper output)
{
    private const string Place = "Birch Row 4";
    private const string NotServed = "may no longer be used";
    private static readonly DateOnly _today = DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime);

    private static readonly KitItem[] _contents =
    [
        new("unit", "audiometer unit", 1, 1) { Serial = "SIM-UNIT-0007", Pairing = "A", NeedsCertificate = true, MassKg = 1.2, VolumeL = 2, Battery = new ItemBattery(20, 2, 1, InEquipment: true) },
        new("phones", "circumaural earphones, pair", 1, 1) { Serial = "SIM-CIRC-0007", Pairing = "A", Contact = ItemContact.Skin, ContactTimeSeconds = 60 },
        new("covers", "earphone covers, pair", 4, 2) { SingleUse = true, Lot = "L-31", Expiry = _today.AddYears(1), Contact = ItemContact.Skin },
    ];

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task AKitGoesOutIsUsedComesBackAndTakesThePlaceOfAnotherThatFailsAndIsStolen()
    {
        var begin = TimeProvider.System.GetTimestamp();
        await using var rig = await LoanRig.Start(Cancellation);
        await using var clinician = await rig.Hub.SignIn(Cancellation);
        await using var colleague = await rig.Hub.SignIn(Cancellation);
        Said("up");
        await rig.Desk.Must(LoanRig.First, Cancellation, new SetContents(_contents));
        var loan = await Lend(rig, LoanRig.First, rig.Session);
        await GoesOut(rig, loan);
        Said("on its way");
        await IsUsed(rig, clinician, loan);
        Said("used");
        await ComesBack(rig, loan);
        await IsMadeReady(rig);
        await HistoryIsWhole(rig);
        Said("on the shelf, history read");
        var failing = await FailsAtTheSite(rig, colleague);
        await IsSwapped(rig, clinician, colleague, failing);
        Said("swapped");
        await IsStolen(rig, failing);
        Said("stolen");

        void Said(string what) => output.WriteLine($"{TimeProvider.System.GetElapsedTime(begin).TotalSeconds:0.0} s {what}");
    }

    private static async Task<LoanId> Lend(LoanRig rig, KitId kit, params IReadOnlyList<SessionId> sessions)
    {
        // Taken there and back by hand: no day on the way.
        var request = new RequestLoan(LoanId.New(), sessions, [], Place, FleetCalendar.Clinic, "Etc/UTC", [TransducerKind.Circumaural], LoanUrgency.Ordinary, new LoanSpans(0, 0, 0, 0, 0));
        await rig.Desk.Must(request, Cancellation);
        await rig.Desk.Must(new PlaceLoan(request.LoanId, kit), Cancellation);
        var booked = Assert.Single((await rig.Desk.Fleet(Cancellation)).Loans, loan => loan.Request.LoanId == request.LoanId);
        Assert.Equal((LoanStanding.Promised, kit), (booked.Standing, booked.KitId!.Value));

        // Counted backwards: it is there at the end of the day before the first session.
        Assert.Equal((booked.Booking!.Session.AddDays(-1), booked.Booking.ReadyAtSite), (booked.Booking.ShipBy, booked.Booking.ShipBy));
        Assert.Equal(KitStage.Reserved, (await rig.Desk.Kit(kit, Cancellation)).Stage);
        return request.LoanId;
    }

    private static async Task GoesOut(LoanRig rig, LoanId loan)
    {
        var desk = rig.Desk;
        var photo = await desk.HandIn(LoanRig.First, SmallPicture.Png(200), Cancellation);
        var few = await desk.Ask(LoanRig.First, new PackKit(loan, Counts(covers: 1), photo, "S-1"), Cancellation);
        Assert.Equal(RefusalCodes.ItemsMissing, few?.Code);
        Assert.Equal(RefusalCodes.StageDoesNotAllow, (await desk.Ask(LoanRig.First, Carrier(loan, CarrierStatus.Delivered), Cancellation))?.Code);
        await desk.Must(LoanRig.First, Cancellation, new PackKit(loan, Counts(covers: 4), photo, "S-1"), new StageKit(loan));
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
    }

    private async Task HistoryIsWhole(LoanRig rig)
    {
        var kinds = await StoredKitLog.KindsOfAWholeChain(rig.Hub.Data, LoanRig.First, Cancellation);
        string[] way =
        [
            "contents.set", "loan.reserved", "parcel.packed", "parcel.staged", "loan.paper-signed", "parcel.sent", "hold.placed", "hold.lifted", "use.begun",
            "kit.packed-up", "use.ended", "parcel.sent", "kit.received", "kit.quarantined", "cleaning.begun", "turnaround.signed", "kit.released",
        ];
        Assert.Equal(way, InOrder(kinds, way));
        Assert.True((await rig.Desk.Kit(LoanRig.First, Cancellation)).Integrity.Valid);

        using var document = JsonDocument.Parse(await rig.Desk.Read(EpcisReply.ExportPath(LoanRig.First), Cancellation));
        Assert.Equal("EPCISDocument", document.RootElement.GetProperty("type").GetString());
        var events = document.RootElement.GetProperty("epcisBody").GetProperty("eventList").EnumerateArray().ToList();
        string[] steps = ["packing", "staging_outbound", "shipping", "shipping", "receiving"];
        Assert.Equal(steps, InOrder([.. events.Select(one => one.TryGetProperty("bizStep", out var step) ? step.GetString()! : string.Empty)], steps));
        foreach (var told in new[] { Place, "Rune Hale", "Pella", "Maren Toft", "Brandvold", "P-0131", "says that it is warm", "Somebody at the site" })
        {
            Assert.DoesNotContain(told, document.RootElement.GetRawText(), StringComparison.Ordinal);
        }

        output.WriteLine($"{kinds.Count} facts, {events.Count} events");
    }

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
        await rig.FirstKit.Start("fast", enrolmentCode: null, Cancellation);
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
        (await ExportedLog.Read(clinician, rig.WeekLater, Cancellation)).AssertChained();

        (LoanStanding, LoanId?) After(LoanId loan) => after.Loans.Where(known => known.Request.LoanId == loan).Select(known => (known.Standing, known.SwappedFor)).Single();
    }

    private static async Task IsStolen(LoanRig rig, LoanId loan)
    {
        Assert.Equal(HttpStatusCode.OK, (await rig.SecondSite.AskForCase(Cancellation)).Status);
        Assert.True((await rig.Desk.Kit(LoanRig.Second, Cancellation)).Online);

        await rig.Desk.Must(LoanRig.Second, Cancellation, new ReportKitGone(Stolen: true, "Taken from the hall.", MayHoldData: true));

        // Refused from the moment of the receipt on; the live link, which was let in before, is closed.
        Assert.Equal(HttpStatusCode.Unauthorized, (await rig.SecondSite.AskForCase(Cancellation)).Status);
        await rig.SecondKit.Process.WaitForLine("credential is revoked", Limits.End, Cancellation);
        await rig.SecondSite.ScreenWith(NotServed, Cancellation);
        await Eventually.Holds(() => !rig.Desk.Kit(LoanRig.Second, Cancellation).Result.Online, "the stolen kit's link is closed", Limits.End, Cancellation);
        var fleet = await rig.Desk.Fleet(Cancellation);
        var incident = Assert.Single(fleet.Incidents);
        Assert.Equal((IncidentKind.Stolen, LoanRig.Second, loan), (incident.Kind, incident.KitId!.Value, incident.LoanId!.Value));
        Assert.Equal(LoanStanding.Gone, Assert.Single(fleet.Past, past => past.Request.LoanId == loan).Standing);
        Assert.Equal(KitStage.Stolen, (await rig.Desk.Kit(LoanRig.Second, Cancellation)).Stage);
        Assert.True((await rig.Desk.Kit(LoanRig.First, Cancellation)).Online);
        Assert.Equal("kit.gone", (await StoredKitLog.KindsOfAWholeChain(rig.Hub.Data, LoanRig.Second, Cancellation))[^1]);
        await LoanRig.Verb(Cancellation, "doctor", "--data", rig.Hub.Data);
    }

    private static async Task<SessionView> Walk(AgentRig agent, ScriptedClinician doctor, Func<SessionView, bool> enough)
    {
        var end = await doctor.WalkUntil(enough, Cancellation).WaitAsync(Limits.Walk, TimeProvider.System, Cancellation);
        Assert.True(enough(end.View), $"{end.Sentence}\nagent:\n{agent.Process.Text()}");
        return end.View;
    }

    private static IReadOnlyList<ItemCount> Counts(int covers) => [new("unit", 1), new("phones", 1), new("covers", covers)];

    private static RecordCarrier Carrier(LoanId loan, CarrierStatus status, ParcelReadings? readings = null) =>
        new(loan, status, CarrierReason.None, "Alder depot", TimeProvider.System.GetUtcNow().AddSeconds(-1), EntryMeans.Reported, readings);

    /// <summary>As many of the words, in order, as stand in the list in this order.</summary>
    private static List<string> InOrder(IReadOnlyList<string> list, IReadOnlyList<string> words)
    {
        var found = new List<string>();
        foreach (var word in list)
        {
            if (found.Count < words.Count && words[found.Count] == word)
            {
                found.Add(word);
            }
        }

        return found;
    }
}
