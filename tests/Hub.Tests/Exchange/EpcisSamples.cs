using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>Entries of every kind. Every text that a person could have typed holds <see cref="Mark"/>, so that one left in a document is found.</summary>
internal static class EpcisSamples
{
    /// <summary>Stands in every name, place, reason, note, reference, serial number, lot and kind.</summary>
    public const string Mark = "Quillfeather";

    public static KitId KitId { get; } = new("kit-01");

    public static SessionId Session { get; } = new(new Guid("0196f3a0-0000-7000-8000-0000000000aa"));

    public static LoanId Loan { get; } = new(new Guid("0196f3a0-0000-7000-8000-000000000003"));

    public static Actor By { get; } = new($"person-{Mark}", $"Edda {Mark}");

    public static EpcisIds Ids { get; } = new([.. Enumerable.Range(0, 32).Select(number => (byte)number)], null);

    public static TimeZoneInfo Zone { get; } = TimeZoneInfo.FindSystemTimeZoneById("America/Halifax");

    public static DateTimeOffset Start { get; } = new(2026, 3, 6, 14, 30, 0, TimeSpan.Zero);

    public static IReadOnlyList<KitItem> Items { get; } =
    [
        new KitItem("UNIT", $"unit {Mark}", 1, 1) { Serial = $"AU-{Mark}", Pairing = $"A {Mark}", NeedsCertificate = true },
        new KitItem("EAR", $"earphones {Mark}", 1, 1) { Serial = $"CE-{Mark}", Pairing = $"A {Mark}" },
        new KitItem("TIP-10", $"tips {Mark}", 20, 10) { SingleUse = true, Lot = $"L-{Mark}" },
    ];

    public static IReadOnlyList<ItemCount> Full { get; } = [new("UNIT", 1), new("EAR", 1), new("TIP-10", 12)];

    public static KitGear Gear(string transducer = "CE-" + Mark, string certificate = "INV-" + Mark) => KitSamples.Gear(new DateOnly(2026, 2, 2), certificate, 0, transducer) with { UnitSerial = $"AU-{Mark}" };

    /// <summary>One of every kind of fact, in an order in which they could follow one another.</summary>
    public static IReadOnlyList<KitFact> EveryKind()
    {
        var day = new DateOnly(2026, 3, 6);
        var place = $"{Mark} Lane 4";
        return
        [
            new KitDrafted(By),
            new ContentsSet(Items, By),
            new GearReported(Gear()),
            new KitCommissioned(By),
            new FunctionChecked([new FunctionAnswer("crosstalk", true)], $"heard by {Mark}", By),
            new KitReleased(By),
            new BaselineRecorded($"E-{Mark}", [], By),
            new KnownEarChecked($"E-{Mark}", [], KnownEarVerdict.Passed, $"INV-{Mark}", By),
            new HoldPlaced(KitHoldKind.BatterySuspect, $"{Mark} says swollen", By),
            new HoldLifted(KitHoldKind.BatterySuspect, $"{Mark} exchanged it", By),
            new KitReserved(Loan, day, day.AddDays(13), day.AddDays(16), place, By),
            new LoanPaperSigned(Loan, $"Otto {Mark}", By),
            new LoanConsentTakenBack(Loan, new ConsentParty($"Otto {Mark}", Mark, null), ConsentMeans.Spoken, Mark, By),
            new KitPacked(Loan, Full, $"photo-{Mark}", $"S-{Mark}", By),
            new KitStaged(Loan, By),
            new KitSent(Loan, KitLeg.Out, $"RX {Mark}", day.AddDays(-1), EntryMeans.Scanned, By),
            new CarrierSaid(Loan, KitLeg.Out, CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere, $"{Mark} depot", Start, EntryMeans.Reported, new ParcelReadings(-2.5, 19, 31), By) { EventId = "urn:uuid:0196f3a0-0000-7000-8000-0000000000ee" },
            new ParcelMissing($"{Mark} has not seen it", By),
            new CarrierSaid(Loan, KitLeg.Out, CarrierStatus.Delivered, CarrierReason.None, null, Start, EntryMeans.Typed, new ParcelReadings(18, 24, null), By),
            new KitCheckedIn(Loan, Full, $"photo-{Mark}", EntryMeans.Typed, By),
            new KitMoved($"{Mark} kitchen", 93.6, By),
            new KitTakenIntoUse(Session, By),
            new SidesProven(Session, new StepId(new Guid("0196f3a0-0000-7000-8000-0000000000ab")), 6),
            new SessionPackUpNoted(Session, By),
            new KitSetDown(Session, true, By),
            new DataWiped([Session], new JournalId(new Guid("0196f3a0-0000-7000-8000-0000000000cd")), 17, $"key-{Mark}", $"signed by {Mark}"),
            new LoanExtended(Loan, day.AddDays(20), day.AddDays(23), $"{Mark} asked", By),
            new ReminderTaken(Loan, $"call {Mark}", $"{Mark} will post it", By),
            new KitPackedUp(Loan, [new("UNIT", 1), new("TIP-10", 7)], $"photo-{Mark}", $"S-{Mark}", By),
            new KitSent(Loan, KitLeg.Back, $"RX {Mark}", day, EntryMeans.Typed, By),
            new KitReceived(Loan, $"RX {Mark}", [new("UNIT", 1), new("EAR", 1), new("TIP-10", 7)], $"photo-{Mark}", EntryMeans.Scanned, By),
            new KitQuarantined(Start.AddDays(1), $"{Mark} has a cold", By),
            new CleaningBegun($"{Mark} needs it", By),
            new TurnaroundSigned(KitStage.Cleaning, [new FunctionAnswer("clean-case", true)], [new ItemCount("TIP-10", 4)], null, $"{Mark} wiped", By),
            new TurnaroundSigned(KitStage.Inspection, [new FunctionAnswer("inspect-whole", false)], Full, null, $"{Mark} bent it", By),
            new RepairBegun($"plug bent by {Mark}", By),
            new RepairFinished($"{Mark} replaced it", true, By),
            new TurnaroundSigned(KitStage.Restock, [], Full, $"{Mark} did it before", null, By),
            new SentToLaboratory($"Laboratory {Mark}", day, By),
            new TakenFromLaboratory($"by {Mark}", By),
            new KitCounted([new ItemCount("UNIT", 1), new ItemCount("EAR", 0), new ItemCount("TIP-10", 3)], $"photo-{Mark}", By),
            new LookBackOpened($"{Mark} failed", Start, [Session]),
            new SessionReviewed(9, Session, $"{Mark} unchanged", By),
            new EntryCorrected(18, false, false, $"{Mark} mistook it", By),
            new LoanCalledOff(Loan, $"{Mark} is ill", By),
            new LoanBegun(day, day.AddDays(3), place, By),
            new LoanEnded(By),
            new KitGone(true, $"taken from {Mark}", true, By),
            new KitFound($"{Mark} brought it", By),
            new KitRetired($"{Mark} sat on it", By),
            new WipeAwaited(Session),
            new UnreadableFact("from.the-future", 3, $"{{\"a\":\"{Mark}\"}}"),
        ];
    }

    /// <summary>Numbers and dates facts: one minute apart.</summary>
    public static IReadOnlyList<RecordedFact> Recorded(IReadOnlyList<KitFact> facts) =>
        [.. facts.Select((fact, index) => new RecordedFact(index + 1, Start.AddMinutes(index), fact))];

    public static IReadOnlyList<EpcisEvent> Events(IReadOnlyList<KitFact> facts) => EpcisHistory.Of(KitId, Recorded(facts), Ids, Zone, ParcelLimits.Operating);

    public static string Document(IReadOnlyList<KitFact> facts) => EpcisWriter.Document(Events(facts), Start.AddDays(1));

    /// <summary>A history nobody would decide: any fact after any other, with corrections of any entry, gear that changes, counts of any number, and days between.</summary>
    public static IReadOnlyList<RecordedFact> Random(int seed)
    {
        var random = new Random(seed);
        var (pool, entries, at) = (EveryKind(), new List<RecordedFact>(), Start);
        for (var sequence = 1L; sequence <= 60; sequence++)
        {
            at = at.AddMinutes(random.Next(0, 3000));
            KitFact fact = random.Next(6) switch
            {
                0 when sequence > 1 => Correction(random.NextInt64(1, sequence), random.Next(3)),
                1 => new KitPacked(Loan, [.. Items.Select(item => new ItemCount(item.ItemId, random.Next(0, 3)))], null, null, By),
                2 => new GearReported(Gear($"CE-{random.Next(3)}-{Mark}", $"INV-{random.Next(3)}-{Mark}")),
                3 => new ContentsSet([.. Items.Where(_ => random.Next(3) > 0)], By),
                _ => pool[random.Next(pool.Count)],
            };
            entries.Add(new RecordedFact(sequence, at, fact));
        }

        return entries;

        // Wrong in part, did not occur, and did not occur and is taken back.
        static EntryCorrected Correction(long entry, int kind) => new(entry, kind > 0, kind > 1, $"{Mark} mistook it", By);
    }
}
