using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Planning;

/// <summary>What keeps a kit out of a plan until somebody does something about it. Pure.</summary>
internal static class PlanHolds
{
    /// <summary>Holds that pass in the usual course: a plan renews calibrations itself and counts the turnaround, and a loan's paper is signed before it leaves.</summary>
    private static readonly HashSet<KitHoldKind> _passing =
        [KitHoldKind.CalibrationExpired, KitHoldKind.CalibrationWouldExpireOnLoan, KitHoldKind.CleaningUnsigned, KitHoldKind.LoanPaperMissing];

    /// <summary>The reasons, as sentences; empty when the kit can be planned.</summary>
    public static IReadOnlyList<string> Of(KitState state, IEnumerable<KitState> others, DateOnly today) =>
    [
        .. KitHolds.Of(state, others, today).Where(hold => !_passing.Contains(hold.Kind)).Select(hold => hold.Sentence),
        .. state.Calibration is null ? (string[])["It has told no calibration, so it can be promised to nobody: link it to the hub once."] : [],
        .. state.Stage switch
        {
            KitStage.Repair => (string[])["It is being repaired."],
            KitStage.MissingParcel => ["Its parcel is missing."],
            KitStage.Commissioned => ["It was not yet released for lending."],
            _ => [],
        },
    ];
}
