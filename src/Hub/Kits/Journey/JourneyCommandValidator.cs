using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Checks the content of the commands of a kit's way. Says everything that is wrong at once.</summary>
internal static class JourneyCommandValidator
{
    /// <summary>Longest time the days after a loan may keep a kit from the next one (design).</summary>
    public const int LongestTurnaroundDays = 60;

    public static void Check(KitCommand command, Faults faults)
    {
        switch (command)
        {
            case PlaceHold place:
                Hold(place.Kind, place.Reason, faults);
                break;
            case LiftHold lift:
                Hold(lift.Kind, lift.Reason, faults);
                break;
            case ReserveKit reserve:
                Loan(reserve.LoanId, faults);
                Days(reserve.From, reserve.DueBack, reserve.BookableFrom, faults);
                faults.Line(reserve.Place, "the place");
                break;
            case ExtendLoan extend:
                Loan(extend.LoanId, faults);
                Days(extend.DueBack, extend.DueBack, extend.BookableFrom, faults);
                faults.Text(extend.Reason, "the reason");
                break;
            case CallOffLoan off:
                Loan(off.LoanId, faults);
                faults.Text(off.Reason, "the reason");
                break;
            case SignLoanPaper sign:
                Loan(sign.LoanId, faults);
                faults.Line(sign.SignedBy, "who signed");
                faults.OptionalText(sign.Capacity, "the capacity");
                faults.Need(sign.Language is null == sign.TextVersion is null, "A text on the paper has a language and a version.");
                break;
            case WithdrawLoanConsent withdraw:
                Loan(withdraw.LoanId, faults);
                faults.Text(withdraw.Reason, "the reason");
                faults.Known(withdraw.How, "way of saying so");
                ConsentValidator.Party(withdraw.By, faults);
                break;
            case TakeReminderStep step:
                Loan(step.LoanId, faults);
                faults.Line(step.Step, "the step");
                faults.OptionalText(step.Note, "the note");
                break;
            case PackKit pack:
                Loan(pack.LoanId, faults);
                Counts(pack.Counts, faults);
                OptionalLine(pack.Photo, "the photo", faults);
                OptionalLine(pack.Seal, "the seal", faults);
                break;
            case StageKit stage:
                Loan(stage.LoanId, faults);
                break;
            case SendKit send:
                Loan(send.LoanId, faults);
                OptionalLine(send.Tracking, "the tracking reference", faults);
                faults.Known(send.Means, "means");
                break;
            case RecordCarrier carrier:
                Carrier(carrier, faults);
                break;
            case CheckInKit checkIn:
                Loan(checkIn.LoanId, faults);
                Counts(checkIn.Counts, faults);
                OptionalLine(checkIn.Photo, "the photo", faults);
                faults.Known(checkIn.Means, "means");
                break;
            case PackUpKit packUp:
                Loan(packUp.LoanId, faults);
                Counts(packUp.Counts, faults);
                OptionalLine(packUp.Photo, "the photo", faults);
                OptionalLine(packUp.Seal, "the seal", faults);
                break;
            case ReceiveKit receive:
                Counts(receive.Counts, faults);
                OptionalLine(receive.Tracking, "the tracking reference", faults);
                OptionalLine(receive.Photo, "the photo", faults);
                faults.Known(receive.Means, "means");
                break;
            case QuarantineKit quarantine:
                faults.Text(quarantine.Reason, "the reason");
                break;
            case BeginCleaning begin:
                faults.OptionalText(begin.QuarantineCutShortBecause, "the reason");
                break;
            case SignTurnaround sign:
                Turnaround(sign, faults);
                break;
            case SendToRepair repair:
                faults.Text(repair.Fault, "the fault");
                break;
            case FinishRepair repair:
                faults.Text(repair.Done, "what was done");
                break;
            case SendToLaboratory send:
                faults.Line(send.Laboratory, "the laboratory");
                break;
            case TakeFromLaboratory take:
                faults.OptionalText(take.Note, "the note");
                break;
            case ReportParcelMissing missing:
                faults.Text(missing.Note, "the note");
                break;
            case ReportKitGone gone:
                faults.Text(gone.Circumstances, "what happened");
                break;
            case ReportKitFound found:
                faults.Text(found.Note, "the note");
                break;
            case RetireKit retire:
                faults.Text(retire.Reason, "the reason");
                break;
            case CorrectEntry correct:
                faults.Need(correct.Sequence > 0, "The entry has no number.");
                faults.Text(correct.Reason, "the reason");
                break;
            case SetContents contents:
                Contents(contents.Items, faults);
                break;
            case CountKit count:
                Counts(count.Counts, faults);
                faults.Need(count.Counts is { Count: > 0 }, "Nothing was counted.");
                OptionalLine(count.Photo, "the photo", faults);
                break;
        }
    }

    /// <summary>Counts of the lines of a case: each item once, none below zero.</summary>
    public static void Counts(IReadOnlyList<ItemCount>? counts, Faults faults)
    {
        faults.Need(counts is { Count: <= ItemRules.MostItems }, $"The counts are missing or more than {ItemRules.MostItems}.");
        var lines = (counts ?? []).Take(ItemRules.MostItems).ToList();
        faults.Need(lines.All(line => line is not null && !string.IsNullOrWhiteSpace(line.ItemId)), "A count names no item.");
        faults.Need(lines.All(line => line is null or { Count: >= 0 and <= ItemRules.MostOfOne }), $"A count is below 0 or above {ItemRules.MostOfOne}.");
        faults.Need(lines.Where(line => line is not null).Select(line => line.ItemId).Distinct(StringComparer.OrdinalIgnoreCase).Count() == lines.Count, "An item is counted twice.");
    }

    private static void Contents(IReadOnlyList<KitItem>? items, Faults faults)
    {
        if (items is null || items.Any(item => item is null))
        {
            faults.Need(false, "The contents are missing, or a line of them is empty.");
            return;
        }

        foreach (var fault in ItemRules.Faults(items))
        {
            faults.Need(false, fault.Index < 0 ? fault.Sentence : $"{Name(items[fault.Index], fault.Index)}: {fault.Sentence}");
        }
    }

    private static string Name(KitItem item, int index) =>
        item is { Kind: { Length: > 0 and <= ItemRules.LongestKind } kind } ? kind : string.Create(CultureInfo.InvariantCulture, $"Line {index + 1}");

    private static void Carrier(RecordCarrier carrier, Faults faults)
    {
        Loan(carrier.LoanId, faults);
        faults.Known(carrier.Status, "status");
        faults.Known(carrier.Reason, "reason");
        faults.Known(carrier.Means, "means");
        OptionalLine(carrier.Place, "the place", faults);
        if (carrier.Readings is { } readings)
        {
            faults.Need(
                readings is { LowestC: null or (>= -100 and <= 200), HighestC: null or (>= -100 and <= 200), HighestShockG: null or (>= 0 and <= 10_000) },
                "The sensor's readings are not plausible: temperatures are -100 to 200 °C, a shock 0 to 10000 times gravity.");
            faults.Need(readings.LowestC is null || readings.HighestC is null || readings.LowestC <= readings.HighestC, "The lowest temperature is above the highest.");
        }
    }

    private static void Turnaround(SignTurnaround sign, Faults faults)
    {
        faults.Need(TurnaroundLines.Steps.Contains(sign.Step), "Only cleaning, inspection and filling up are signed.");
        faults.Need(sign.Answers is not null && sign.Answers.Count <= ItemRules.MostItems * 3 && sign.Answers.All(answer => answer is not null), "An answer is empty.");
        Counts(sign.Counts, faults);
        var answers = sign.Answers ?? [];
        faults.Need(string.IsNullOrWhiteSpace(sign.SkippedBecause) || answers.Count == 0, "A step is answered or skipped, not both.");
        faults.Need(answers.All(answer => answer is null or { Passed: true }) || !string.IsNullOrWhiteSpace(sign.Note), "Say what was found when a line was not as it should be.");
        faults.OptionalText(sign.SkippedBecause, "the reason");
        faults.OptionalText(sign.Note, "the note");
    }

    private static void Hold(KitHoldKind kind, string reason, Faults faults)
    {
        faults.Need(KitHolds.ByHand.Contains(kind), $"Only these are placed and lifted by hand: {string.Join(", ", KitHolds.ByHand.Select(KitHolds.Name))}. The others follow from the kit's facts.");
        faults.Text(reason, "the reason");
    }

    private static void Days(DateOnly from, DateOnly dueBack, DateOnly bookableFrom, Faults faults)
    {
        faults.Need(dueBack >= from, "The loan ends before it begins.");
        faults.Need(dueBack.DayNumber - from.DayNumber <= KitCommandValidator.LongestLoanDays, $"The loan is longer than {KitCommandValidator.LongestLoanDays} days.");
        faults.Need(bookableFrom >= dueBack, "The kit would be free again before it is back.");
        faults.Need(bookableFrom.DayNumber - dueBack.DayNumber <= LongestTurnaroundDays, $"The turnaround is longer than {LongestTurnaroundDays} days.");
    }

    private static void Loan(LoanId loanId, Faults faults) => faults.Need(loanId.Value != Guid.Empty, "The command names no loan.");

    private static void OptionalLine(string? text, string what, Faults faults) =>
        faults.Need((text?.Length ?? 0) <= CommandValidator.LongestLine, $"{char.ToUpperInvariant(what[0])}{what[1..]} is longer than {CommandValidator.LongestLine} characters.");
}
