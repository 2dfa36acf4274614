using System.Text.Json.Nodes;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>Stored facts stay readable for good: every name and shape has a sample file that was written once.</summary>
public sealed class KitFactCatalogTests
{
    private static readonly string _folder = Path.Combine(RepositoryRoot.Path, "tests", "Hub.Tests", "Golden", "KitFacts");

    public static TheoryData<string, int> Lines()
    {
        var rows = new TheoryData<string, int>();
        foreach (var (name, shape, _) in KitFactCatalog.Lines)
        {
            rows.Add(name, shape);
        }

        return rows;
    }

    [Theory]
    [MemberData(nameof(Lines))]
    public void EveryStoredShapeIsStillReadAsItWasWritten(string name, int shape)
    {
        var path = Path.Combine(_folder, $"{name}.{shape}.json");
        if (Environment.GetEnvironmentVariable("TELEHEARING_WRITE_GOLDEN") == "1" && !File.Exists(path))
        {
            Directory.CreateDirectory(_folder);
            var sample = SamplesOf().First(fact => KitFactCatalog.Write(fact).Name == name);
            File.WriteAllText(path, JsonNode.Parse(KitFactCatalog.Write(sample).Payload)!.ToJsonString(new() { WriteIndented = true }) + "\n");
        }

        var stored = File.ReadAllText(path);

        var read = KitFactCatalog.Read(name, shape, stored);

        Assert.IsNotType<UnreadableFact>(read);
        Assert.True(JsonNode.DeepEquals(JsonNode.Parse(stored), JsonNode.Parse(KitFactCatalog.Write(read).Payload)), $"{name} {shape} is read or written in another way than it was stored.");
    }

    [Fact]
    public void EveryFactHasAName()
    {
        var types = typeof(KitFact).Assembly.GetTypes().Where(type => type.IsSubclassOf(typeof(KitFact)) && type != typeof(UnreadableFact));

        Assert.All(types, type => Assert.Contains(KitFactCatalog.Lines, line => line.Type == type));
        Assert.Equal(KitFactCatalog.Lines.Count, KitFactCatalog.Lines.Select(line => (line.Name, line.Shape)).Distinct().Count());
    }

    [Fact]
    public void WhatCannotBeReadIsCarriedAlongUnchanged()
    {
        var strange = KitFactCatalog.Read("from.the-future", 3, "{\"a\":1}");

        Assert.Equal(("from.the-future", 3, "{\"a\":1}"), KitFactCatalog.Write(strange));
        Assert.IsType<UnreadableFact>(KitFactCatalog.Read("kit.moved", 1, "{broken"));
        Assert.Equal(1, KitFold.Apply(KitState.Empty(new KitId("kit-01")), new RecordedFact(1, default, strange)).Version);
    }

    private static IEnumerable<KitFact> SamplesOf()
    {
        var by = KitSamples.Coordinator;
        var loan = new LoanId(new Guid("0196f3a0-0000-7000-8000-000000000003"));
        var day = new DateOnly(2026, 11, 25);
        var at = new DateTimeOffset(2026, 11, 25, 9, 30, 0, TimeSpan.Zero);
        var session = new SessionId(new Guid("0196f3a0-0000-7000-8000-000000000002"));
        return
        [
            new GearReported(KitSamples.Gear(new DateOnly(2026, 11, 2)) with { Calibration = KitSamples.Certificate(new DateOnly(2026, 11, 2)) with { Entries = [new(Ear.Left, 1000, 130, 60) { UncertaintyDb = 0.7 }], TemperatureC = 22.4, PressureKPa = 100.9, Site = "Fernhill" } }),
            new BaselineRecorded("E1", [new KnownEarLevel(Ear.Left, 1000, 5)], by),
            new KnownEarChecked("E1", [new KnownEarShift(Ear.Left, 1000, 5, 15)], KnownEarVerdict.CalibrationNeeded, "INV-3391", by),
            new FunctionChecked([new FunctionAnswer("crosstalk", false)], "heard on both sides", by),
            new SidesProven(session, new StepId(new Guid("0196f3a0-0000-7000-8000-000000000001")), 6),
            new KitMoved("Hill clinic", 93.6, by),
            new LoanBegun(new DateOnly(2026, 11, 25), new DateOnly(2026, 12, 9), "Mill Lane 4", by),
            new LoanEnded(by),
            new LookBackOpened("The function check failed: crosstalk.", new DateTimeOffset(2026, 11, 2, 0, 0, 0, TimeSpan.Zero), [session]),
            new SessionReviewed(9, session, "unchanged", by),
            new KitDrafted(by),
            new KitCommissioned(by),
            new KitReleased(by),
            new HoldPlaced(KitHoldKind.BatterySuspect, "swollen", by),
            new HoldLifted(KitHoldKind.BatterySuspect, "exchanged", by),
            new KitReserved(loan, day, day.AddDays(13), day.AddDays(16), "Mill Lane 4", by),
            new LoanCalledOff(loan, "put off", by),
            new LoanExtended(loan, day.AddDays(20), day.AddDays(23), "a second session", by),
            new LoanPaperSigned(loan, "Edda Sorrel", by),
            new LoanConsentTakenBack(loan, new ConsentParty("R. Hale", "guardian", null), ConsentMeans.Spoken, "the journey is too long", by),
            new ReminderTaken(loan, "call", "will post it on Monday", by),
            new KitPacked(loan, [new ItemCount("TIP-10", 12)], "photo-1", "S-4411", by),
            new KitStaged(loan, by),
            new KitSent(loan, KitLeg.Out, "RX 1234", day, EntryMeans.Scanned, by),
            new CarrierSaid(loan, KitLeg.Back, CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere, "Fernhill", at, EntryMeans.Reported, new ParcelReadings(-2.5, 19, 31), by),
            new KitCheckedIn(loan, [new ItemCount("TIP-10", 12)], "photo-2", EntryMeans.Typed, by),
            new KitTakenIntoUse(session, by),
            new DataWiped([session], new JournalId(new Guid("0196f3a0-0000-7000-8000-000000000003")), 41, "0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I", "header.payload.signature"),
            new WipeAwaited(session),
            new SessionPackUpNoted(session, by),
            new KitSetDown(session, true, by),
            new KitPackedUp(loan, [new ItemCount("TIP-10", 8)], "photo-3", "S-4412", by),
            new KitReceived(loan, "RX 5678", [new ItemCount("TIP-10", 8)], "photo-4", EntryMeans.Scanned, by),
            new KitQuarantined(at, "a cold in the house", by),
            new CleaningBegun("needed tomorrow", by),
            new TurnaroundSigned(KitStage.Cleaning, [new FunctionAnswer("clean-case", true)], [new ItemCount("TIP-10", 4)], "skipped", "note", by),
            new RepairBegun("plug bent", by),
            new RepairFinished("plug replaced", true, by),
            new SentToLaboratory("Alder Lane Acoustics (invented)", day, by),
            new TakenFromLaboratory("with certificate", by),
            new ParcelMissing("no entry for a week", by),
            new KitGone(true, "taken from the porch", true, by),
            new KitFound("handed in", by),
            new KitRetired("case broken", by),
            new EntryCorrected(12, true, false, "the wrong kit was scanned", by),
            new ContentsSet([new KitItem("TIP-10", "insert tips, medium, pair", 20, 10) { SingleUse = true, Lot = "L-88", Expiry = day, Contact = ItemContact.Canal, WipeSafe = false, Battery = new ItemBattery(3.7, 1, 2, true) }], by),
            new KitCounted([new ItemCount("TIP-10", 12)], "photo-5", by),
        ];
    }
}
