using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>What is to be done with a kit: its next step first, then whatever else asks for somebody. Pure.</summary>
internal static class KitTasks
{
    /// <param name="kit">Kit.</param>
    /// <param name="today">The clinic's day.</param>
    /// <param name="terms">The clinic's terms.</param>
    public static IReadOnlyList<KitTask> Of(KitStanding kit, DateOnly today, BoardTerms terms) =>
    [
        // Once it is late, chasing it is what happens next.
        .. kit.Loan?.DueBack < today ? Chases(kit, today, terms.Ladder) : [],
        NextStep.Of(kit, today, terms),
        .. kit.Loan?.DueBack < today ? [] : Chases(kit, today, terms.Ladder),
        .. Parcel(kit, today),
        .. Gone(kit, today),
        .. Paper(kit),
        .. Calibrations(kit, today),
        .. Holds(kit, today),
    ];

    private static IEnumerable<KitTask> Chases(KitStanding kit, DateOnly today, OverdueLadder ladder)
    {
        // On its way back nobody at the site can do more, until it is late.
        var late = kit.Loan is { } away ? today.DayNumber - away.DueBack.DayNumber : 0;
        if (kit.Loan is not { } loan || !KitWay.IsAway(kit.Stage) || kit.Stage == KitStage.InTransitOut || (kit.Stage == KitStage.InTransitBack && late <= 0)
            || ladder.Standing(loan.DueBack, today, [.. kit.LadderTaken.Select(code => new LadderDone(code, loan.DueBack))]).Owed is not { } step)
        {
            yield break;
        }

        var when = late > 0 ? $"It was due back from {loan.Place} on {BoardDays.Words(loan.DueBack)}, {BoardDays.Count(late)} ago."
            : late == 0 ? $"It is due back from {loan.Place} today."
            : $"It is due back from {loan.Place} in {BoardDays.Count(-late)}.";
        yield return new KitTask(KitTaskKind.Chase, Words(step.Action), when) { By = loan.DueBack.AddDays(step.DaysAfterDue), Move = step.Action == LadderAction.GiveUp ? "report-kit-gone" : "take-reminder-step" };
    }

    private static string Words(LadderAction action) => action switch
    {
        LadderAction.Call => "Call the site",
        LadderAction.Letter => "Send a letter",
        LadderAction.GiveUp => "Record it as lost",
        _ => "Remind the site",
    };

    private static IEnumerable<KitTask> Parcel(KitStanding kit, DateOnly today)
    {
        if (kit.Missing is { } missing)
        {
            yield return new KitTask(KitWay.IsAway(kit.Stage) ? KitTaskKind.Chase : KitTaskKind.Settle, "Ask about what is missing", missing) { By = today };
        }

        if (kit.ParcelAlarm is { } alarm)
        {
            yield return new KitTask(KitTaskKind.Check, "Check it before it is used", alarm) { By = today, Move = "record-function-check" };
        }
    }

    private static IEnumerable<KitTask> Gone(KitStanding kit, DateOnly today)
    {
        if (kit.IncidentOpen)
        {
            yield return new KitTask(KitTaskKind.Settle, "See to its incident", "An incident with it is open. What must be reported to whom, and by when, is for the owner to decide by local law.") { By = today };
        }

        if (KitWay.IsGone(kit.Stage) || kit.Stage == KitStage.MissingParcel)
        {
            foreach (var loan in kit.Promised)
            {
                yield return new KitTask(KitTaskKind.Settle, "Give that loan another kit", $"It is promised for {BoardDays.Words(loan.From)} ({loan.Place}), and it will not be there.") { By = today, Move = "call-off-loan" };
            }
        }
    }

    private static IEnumerable<KitTask> Paper(KitStanding kit)
    {
        if (kit.Stage is KitStage.Reserved or KitStage.Packed or KitStage.AwaitingPickup && kit.Next is { PaperSigned: false } loan)
        {
            yield return new KitTask(KitTaskKind.Settle, "Have the loan paper signed", $"It may not leave for {loan.Place} without it.") { By = loan.From, Move = "sign-loan-paper" };
        }
    }

    private static IEnumerable<KitTask> Calibrations(KitStanding kit, DateOnly today)
    {
        if (kit.CalibratedUntil is not { } until || kit.Stage is KitStage.AtCalibration || KitWay.IsGone(kit.Stage))
        {
            yield break;
        }

        var left = CalibrationValidity.DaysLeft(until, today);
        var first = kit.Holds.Any(hold => hold.Kind is KitHoldKind.BatterySuspect or KitHoldKind.SafetyNotice) ? " It is not sent by parcel as it is held: clear that first, or have it handed over in person." : string.Empty;
        if (left < 0)
        {
            yield return new KitTask(KitTaskKind.Calibrate, "Send it to the laboratory", $"Its calibration ended on {BoardDays.Words(until)}. It makes no sound without a valid one.{first}") { By = today, Move = "send-to-laboratory" };
        }
        else if (left <= BoardDays.CalibrationNotice)
        {
            yield return new KitTask(KitTaskKind.Calibrate, "Book the laboratory", $"Its calibration ends on {BoardDays.Words(until)}, in {BoardDays.Count(left)}.{first}") { By = until, Move = "send-to-laboratory" };
        }
    }

    // Each hold that a step of its own does not already see to.
    private static IEnumerable<KitTask> Holds(KitStanding kit, DateOnly today) =>
        from hold in kit.Holds
        let task = hold.Kind switch
        {
            KitHoldKind.CheckFailed when kit.Stage is not (KitStage.FunctionCheck or KitStage.Repair) =>
                new KitTask(KitTaskKind.Check, "Check it again", hold.Sentence) { By = today, Move = "record-function-check" },
            KitHoldKind.CleaningUnsigned when kit.Stage is KitStage.Available =>
                new KitTask(KitTaskKind.Clean, "Clean it", hold.Sentence) { By = today, Move = "begin-cleaning" },
            KitHoldKind.ItemMissing when kit.Stage is not KitStage.Restock && !KitWay.IsAway(kit.Stage) =>
                new KitTask(KitTaskKind.Settle, "Complete the contents", hold.Sentence) { Move = "count-kit" },
            KitHoldKind.DataNotWiped or KitHoldKind.SafetyNotice or KitHoldKind.FirmwareNotApproved or KitHoldKind.BatterySuspect =>
                new KitTask(KitTaskKind.Settle, "Clear the hold", hold.Sentence) { Move = "lift-hold" },
            KitHoldKind.LookBackOpen => new KitTask(KitTaskKind.Settle, "Look at sessions again", hold.Sentence) { Move = "review-session" },
            KitHoldKind.RecordDoubtful => new KitTask(KitTaskKind.Settle, "Tell the owner", hold.Sentence),
            _ => null,
        }
        where task is not null
        select task;
}
