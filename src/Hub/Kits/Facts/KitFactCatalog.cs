using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Stored names and shapes of all facts of kits. Names are for good; a new shape is a new line here with the next number.</summary>
internal static class KitFactCatalog
{
    private static readonly (string Name, int Shape, Type Type)[] _lines =
    [
        ("gear.reported", 1, typeof(GearReported)),
        ("known-ear.baseline", 1, typeof(BaselineRecorded)),
        ("known-ear.checked", 1, typeof(KnownEarChecked)),
        ("function.checked", 1, typeof(FunctionChecked)),
        ("sides.proven", 1, typeof(SidesProven)),
        ("kit.moved", 1, typeof(KitMoved)),
        ("loan.begun", 1, typeof(LoanBegun)),
        ("loan.ended", 1, typeof(LoanEnded)),
        ("look-back.opened", 1, typeof(LookBackOpened)),
        ("look-back.session-reviewed", 1, typeof(SessionReviewed)),
        ("kit.drafted", 1, typeof(KitDrafted)),
        ("kit.commissioned", 1, typeof(KitCommissioned)),
        ("kit.released", 1, typeof(KitReleased)),
        ("hold.placed", 1, typeof(HoldPlaced)),
        ("hold.lifted", 1, typeof(HoldLifted)),
        ("loan.reserved", 1, typeof(KitReserved)),
        ("loan.called-off", 1, typeof(LoanCalledOff)),
        ("loan.extended", 1, typeof(LoanExtended)),
        ("loan.paper-signed", 1, typeof(LoanPaperSigned)),
        ("loan.consent-taken-back", 1, typeof(LoanConsentTakenBack)),
        ("loan.reminder-taken", 1, typeof(ReminderTaken)),
        ("parcel.packed", 1, typeof(KitPacked)),
        ("parcel.staged", 1, typeof(KitStaged)),
        ("parcel.sent", 1, typeof(KitSent)),
        ("parcel.carrier-said", 1, typeof(CarrierSaid)),
        ("kit.checked-in", 1, typeof(KitCheckedIn)),
        ("use.begun", 1, typeof(KitTakenIntoUse)),
        ("use.pack-up-noted", 1, typeof(SessionPackUpNoted)),
        ("use.ended", 1, typeof(KitSetDown)),
        ("kit.packed-up", 1, typeof(KitPackedUp)),
        ("kit.received", 1, typeof(KitReceived)),
        ("kit.quarantined", 1, typeof(KitQuarantined)),
        ("cleaning.begun", 1, typeof(CleaningBegun)),
        ("turnaround.signed", 1, typeof(TurnaroundSigned)),
        ("repair.begun", 1, typeof(RepairBegun)),
        ("repair.finished", 1, typeof(RepairFinished)),
        ("laboratory.sent", 1, typeof(SentToLaboratory)),
        ("laboratory.taken", 1, typeof(TakenFromLaboratory)),
        ("parcel.missing", 1, typeof(ParcelMissing)),
        ("kit.gone", 1, typeof(KitGone)),
        ("kit.found", 1, typeof(KitFound)),
        ("kit.retired", 1, typeof(KitRetired)),
        ("entry.corrected", 1, typeof(EntryCorrected)),
        ("contents.set", 1, typeof(ContentsSet)),
        ("contents.counted", 1, typeof(KitCounted)),
        ("data.wiped", 1, typeof(DataWiped)),
        ("data.wipe-awaited", 1, typeof(WipeAwaited)),
    ];

    private static readonly FactCatalog<KitFact> _catalog = new(
        _lines,
        (name, shape, payload) => new UnreadableFact(name, shape, payload),
        fact => fact is UnreadableFact carried ? (carried.Kind, carried.Shape, carried.Payload) : null);

    /// <summary>Every line: stored name, shape number, type.</summary>
    public static IReadOnlyList<(string Name, int Shape, Type Type)> Lines => _catalog.Lines;

    /// <inheritdoc cref="FactCatalog{TFact}.Write"/>
    public static (string Name, int Shape, string Payload) Write(KitFact fact) => _catalog.Write(fact);

    /// <inheritdoc cref="FactCatalog{TFact}.Read"/>
    public static KitFact Read(string name, int shape, string payload) => _catalog.Read(name, shape, payload);
}
