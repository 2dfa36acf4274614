using System.Text.Json;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Kits that go out and come back: a loan from the request to the shelf with a session in between, a kit that fails where it was sent and is swapped, and one that is stolen.</summary>
[Trait("Kind", "EndToEnd")]
public sealed partial class KitJourneyTests(ITestOutputHelper output)
{
    private const string Place = "Birch Row 4";
    /// <summary>A kit whose key is taken away has no link after this (the clinic's requirement).</summary>
    private static readonly TimeSpan _revokedWithin = TimeSpan.FromSeconds(5);

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

    private async Task HistoryIsWhole(LoanRig rig)
    {
        var kinds = await StoredKitLog.KindsOfAWholeChain(rig.Hub.Data, LoanRig.First, Cancellation);
        string[] way =
        [
            "contents.set", "loan.reserved", "loan.paper-signed", "parcel.packed", "parcel.staged", "loan.consent-taken-back", "loan.paper-signed", "parcel.sent", "hold.placed", "hold.lifted", "use.begun",
            "kit.packed-up", "use.ended", "data.wiped", "parcel.sent", "kit.received", "kit.quarantined", "cleaning.begun", "turnaround.signed", "kit.released",
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
