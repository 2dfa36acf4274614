using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Which events an entry is written as (docs/decisions/0031). Pure.</summary>
/// <remarks>Steps and dispositions: GS1 Core Business Vocabulary 2.0, chosen by the practice reference's table of kit events. The vocabulary has no step for cleaning, use or papers: these are "other", and kit:fact says which.</remarks>
internal static class EpcisMapping
{
    /// <summary>Events of an entry without ids and times; empty for entries that say nothing of the kit's way or that are about persons: known-ear checks and their baselines, proofs in sessions, look-backs.</summary>
    public static IEnumerable<EpcisEvent> Of(RecordedFact entry, EpcisScene scene) => entry.Fact switch
    {
        KitDrafted => [scene.Seen("encoding", "encoded")],
        KitCommissioned => [scene.Seen("commissioning", "active") with { Action = scene.Hierarchy.Began(scene.Case) ? EpcisAction.Observe : EpcisAction.Add }],
        KitReleased => [scene.Seen("storing", "available")],
        KitRetired => [scene.Seen("decommissioning", "inactive") with { Action = EpcisAction.Delete }],
        HoldPlaced hold => [scene.Seen("holding", "unavailable") with { Extensions = [("kit:hold", hold.Kind.ToString())] }],
        HoldLifted hold => [scene.Seen("other", null) with { Extensions = [("kit:hold", hold.Kind.ToString())] }],
        KitReserved or LoanCalledOff or LoanExtended or LoanPaperSigned or LoanConsentTakenBack or ReminderTaken or LoanBegun or LoanEnded => [OfLoan(entry.Fact, scene)],
        KitPacked or KitStaged or KitSent or CarrierSaid or KitCheckedIn or KitPackedUp or KitReceived => EpcisParcel.Of(entry.Fact, scene),
        KitTakenIntoUse => [.. EpcisContents.TakenOut(scene, "unpacking"), scene.Seen("other", "active")],
        SessionPackUpNoted => [scene.Seen("repackaging", "container_closed")],
        KitSetDown down => [down.AwaitsReturn ? scene.Seen("staging_outbound", "in_progress") : scene.Seen("other", "in_progress")],
        KitMoved moved => [scene.Seen("arriving", null) with { ReadPoint = scene.Ids.Place(moved.Place), Location = scene.Ids.Place(moved.Place) }],
        KitQuarantined => [scene.Seen("holding", "unavailable")],
        CleaningBegun or TurnaroundSigned => OfTurnaround(entry, scene),
        FunctionChecked check => [scene.Seen("inspecting", KitJudgement.Passed(check) ? "conformant" : "non_conformant") with { Transactions = Tested(entry, scene) }],
        RepairBegun => [scene.Seen("repairing", "needs_replacement")],
        RepairFinished repair => [scene.Seen("repairing", "in_progress") with { Extensions = [("kit:partsReplaced", repair.PartsReplaced)] }],
        GearReported or SentToLaboratory or TakenFromLaboratory => EpcisCalibration.Of(entry, scene),
        ParcelMissing => [scene.Seen("other", "unknown")],
        KitGone gone => [scene.Seen("other", gone.Stolen ? "stolen" : "unknown")],
        KitFound => [scene.Come("receiving", "returned")],
        ContentsSet => EpcisContents.Set(scene),
        KitCounted counted => [EpcisContents.Judged(scene.Seen("cycle_counting", null), scene.After.Items, counted.Counts)],
        _ => [],
    };

    private static EpcisEvent OfLoan(KitFact fact, EpcisScene scene) => fact switch
    {
        KitReserved reserved => scene.Seen("reserving", "reserved") with { Transactions = scene.Papers(reserved.LoanId) },
        LoanCalledOff off => scene.Seen("void_shipping", "available") with { Transactions = scene.Papers(off.LoanId) },
        LoanExtended extended => scene.Seen("reserving", null) with { Transactions = scene.Papers(extended.LoanId) },
        LoanPaperSigned signed => scene.Seen("other", null) with { Transactions = scene.Papers(signed.LoanId) },
        LoanConsentTakenBack back => scene.Seen("other", null) with { Transactions = scene.Papers(back.LoanId) },
        ReminderTaken reminder => scene.Seen("other", null) with { Transactions = scene.Papers(reminder.LoanId) },
        LoanBegun begun => scene.Seen("shipping", "in_transit") with { Destination = scene.Ids.Place(begun.Place) },
        _ => scene.Come("receiving", "returned"),
    };

    private static IEnumerable<EpcisEvent> OfTurnaround(RecordedFact entry, EpcisScene scene) => entry.Fact switch
    {
        TurnaroundSigned { SkippedBecause: not null } skipped => [scene.Seen("other", "in_progress") with { Extensions = [("kit:turnaround", skipped.Step.ToString()), ("kit:skipped", true)] }],
        TurnaroundSigned { Step: KitStage.Inspection } signed =>
        [
            .. EpcisContents.TakenOut(scene, "unpacking"),
            EpcisContents.Judged(scene.Seen("inspecting", null), scene.Before.Items, signed.Counts) with
            {
                Disposition = signed.Passed() ? "conformant" : "non_conformant",
                Transactions = Tested(entry, scene),
                Extensions = Turnaround(signed),
            },
        ],
        TurnaroundSigned { Step: KitStage.Restock } signed => [EpcisContents.Judged(scene.Seen("stocking", null), scene.Before.Items, signed.Counts) with { Disposition = "available", Extensions = Turnaround(signed) }],
        TurnaroundSigned signed => [scene.Seen("other", "in_progress") with { Extensions = Turnaround(signed) }],
        _ => [.. EpcisContents.TakenOut(scene, "unpacking"), scene.Seen("other", "in_progress") with { Extensions = [("kit:turnaround", nameof(KitStage.Cleaning))] }],
    };

    private static (string Name, object Value)[] Turnaround(TurnaroundSigned signed) => [("kit:turnaround", signed.Step.ToString()), ("kit:skipped", false)];

    private static IReadOnlyList<(string Type, string Id)> Tested(RecordedFact entry, EpcisScene scene) => [("testres", scene.Ids.Check(scene.KitId, entry.Sequence))];
}
