using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>Reads from what is known of a kit what the board judges by. Pure.</summary>
internal static class KitStandings
{
    /// <param name="state">The kit.</param>
    /// <param name="others">Kits of the clinic, this one among them.</param>
    /// <param name="clinic">The clinic's day.</param>
    /// <param name="limits">What readings of its parcels are held against; absent for the band in which gear keeps its specification.</param>
    public static KitStanding Of(KitState state, IEnumerable<KitState> others, ClinicDay clinic, ParcelLimits? limits = null)
    {
        var today = clinic.Today;
        var until = KitJudgement.HoldsUntil(state);
        var holds = KitHolds.Of(state, others, today);
        var inHand = state.LoanInHand;
        return new KitStanding(state.Stage, state.StageSince is { } since ? clinic.On(since) : null)
        {
            Loan = inHand is null ? null : Span(inHand),
            Promised = [.. state.Loans.Where(loan => loan.LoanId != state.InHand).Select(Span)],
            Holds = holds,
            HeldSince = holds.Count == 0 ? null : HeldSince(state, holds, until, clinic),
            CalibratedUntil = until,
            Calibration = until is { } end ? CalibrationValidity.Standing(end, today) : null,
            QuarantineUntil = state.QuarantineUntil is { } quarantine ? clinic.On(quarantine) : null,
            Laboratory = state.Laboratory is { } laboratory ? (laboratory.Laboratory, laboratory.ExpectedBack) : null,
            CheckPassed = state.Checked,
            Carrier = inHand?.Carrier.LastOrDefault(entry => entry.Leg == inHand.Leg) is { } said ? (said.Status, said.Reason) : null,
            Missing = ParcelConcerns.Missing(state),
            ParcelAlarm = KitStages.IsGone(state.Stage) ? null : ParcelConcerns.Alarm(state, limits ?? ParcelLimits.Operating),
            LadderTaken = inHand is null ? [] : [.. inHand.RemindersSinceExtended().Select(taken => taken.Step)],
        };
    }

    /// <summary>The stages a kit came to, on the clinic's days, oldest first.</summary>
    public static IReadOnlyList<StageChange> Changes(KitState state, ClinicDay clinic)
    {
        // What a correction took back has not happened: its days are not drawn.
        var takenBack = state.History.Select(recorded => recorded.Fact).OfType<EntryCorrected>().Where(correction => correction.TakesBack).Select(correction => correction.Sequence).ToHashSet();
        var changes = new List<StageChange>();
        var replayed = KitState.Empty(state.KitId);
        foreach (var recorded in state.History.Where(recorded => recorded.Fact is not EntryCorrected && !takenBack.Contains(recorded.Sequence)))
        {
            var next = KitFold.Apply(replayed, recorded);
            if (next.Stage != replayed.Stage || next.InHand != replayed.InHand)
            {
                changes.Add(new StageChange(clinic.On(recorded.At), next.Stage, next.LoanInHand?.Place));
            }

            replayed = next;
        }

        return changes;
    }

    private static LoanSpan Span(KitLoan loan) => new(loan.LoanId, loan.Place, loan.From, loan.DueBack, loan.BookableFrom) { PaperSigned = loan.Paper is not null };

    // By the oldest hold whose day is known; what is only derived is known to hold today.
    private static DateOnly HeldSince(KitState state, IReadOnlyList<KitHold> holds, DateOnly? calibratedUntil, ClinicDay clinic)
    {
        var known = new List<DateOnly> { clinic.Today };
        if (holds.Any(hold => hold.Kind == KitHoldKind.CalibrationExpired) && calibratedUntil is { } until && until < clinic.Today)
        {
            known.Add(until.AddDays(1));
        }

        known.AddRange(
            from recorded in state.History
            where recorded.Fact is HoldPlaced placed && holds.Any(hold => hold.PlacedByHand && hold.Kind == placed.Kind) && state.HoldsByHand.TryGetValue(placed.Kind, out var now) && now == placed
            select clinic.On(recorded.At));
        return known.Min();
    }
}
