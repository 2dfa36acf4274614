using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Decides the steps between a return and the shelf. Pure.</summary>
internal static class TurnaroundDecider
{
    public static KitDecision Quarantine(JourneyAsk ask, QuarantineKit quarantine) => ask.WhyNot(KitTrigger.Quarantine) switch
    {
        { } refusal => KitDecision.Refuse(refusal),
        null when quarantine.Until <= ask.Context.Now => KitDecision.Refuse(JourneyRefusals.Invalid("The quarantine would be over already.", "Check the time.")),
        _ => KitDecision.Of(new KitQuarantined(quarantine.Until, quarantine.Reason.Trim(), ask.By)),
    };

    public static KitDecision Begin(JourneyAsk ask, BeginCleaning begin)
    {
        if (ask.WhyNot(KitTrigger.BeginCleaning) is { } refusal)
        {
            return KitDecision.Refuse(refusal);
        }

        var reason = JourneyDecider.Text(begin.QuarantineCutShortBecause);
        return ask.State is { Stage: KitStage.Quarantine, QuarantineUntil: { } until } && until > ask.Context.Now && reason is null
            ? KitDecision.Refuse(
                RefusalCodes.GateNotMet,
                string.Create(CultureInfo.InvariantCulture, $"The quarantine lasts until {until.UtcDateTime:d MMMM yyyy HH:mm} UTC."),
                "Wait, or say why it is cut short.")
            : KitDecision.Of(new CleaningBegun(reason, ask.By));
    }

    public static KitDecision Sign(JourneyAsk ask, SignTurnaround sign)
    {
        var state = ask.State;
        var fact = new TurnaroundSigned(sign.Step, sign.Answers, sign.Counts, JourneyDecider.Text(sign.SkippedBecause), JourneyDecider.Text(sign.Note), ask.By);
        var trigger = sign.Step switch
        {
            KitStage.Cleaning => KitTrigger.SignCleaning,
            KitStage.Inspection => fact.Passed() ? KitTrigger.SignInspection : KitTrigger.FailInspection,
            _ => KitTrigger.SignRestock,
        };
        if (ask.WhyNot(trigger) is { } refusal)
        {
            return sign.Step != state.Stage && TurnaroundLines.Steps.Contains(sign.Step) && state.Turnaround.LastOrDefault(entry => entry.Step == sign.Step) is { } signed
                ? KitDecision.Refuse(
                    RefusalCodes.StageDoesNotAllow,
                    string.Create(CultureInfo.InvariantCulture, $"{signed.By} signed this step already, on {signed.At.UtcDateTime:d MMMM yyyy} at {signed.At.UtcDateTime:HH:mm} UTC."),
                    "Look at the page as it is now.")
                : KitDecision.Refuse(refusal);
        }

        if (fact.SkippedBecause is not null && sign.Step == KitStage.Cleaning && state.LastUse is not null)
        {
            return KitDecision.Refuse(RefusalCodes.GateNotMet, "A session used this kit since it was last cleaned, so its cleaning is not skipped.", "Clean what touched skin or canal, then sign it line by line.");
        }

        return (fact.SkippedBecause is null ? Lines(state, sign) : null)
            ?? ParcelDecider.Unknown(state, sign.Counts)
            ?? (sign.Step == KitStage.Cleaning ? TooMany(state, sign.Counts) : null)
            ?? (sign.Step == KitStage.Cleaning && !fact.Passed()
                ? KitDecision.Refuse(RefusalCodes.GateNotMet, "Cleaning is signed once every line is done.", "Do what is left, or say why the step is skipped; what cannot be cleaned goes to repair or is discarded.")
                : KitDecision.Of(fact));
    }

    // As far as is known: what was counted last, or what belongs in the case while nobody has counted.
    private static KitDecision? TooMany(KitState state, IReadOnlyList<ItemCount> discarded)
    {
        var more = (from line in discarded
                    join item in state.Items on line.ItemId equals item.ItemId
                    let there = state.InCase.TryGetValue(line.ItemId, out var counted) ? counted : item.ExpectedCount
                    where line.Count > there
                    select string.Create(CultureInfo.InvariantCulture, $"{line.Count} of {item.Kind}, where there {(there == 1 ? "was" : "were")} {there}")).ToList();
        return more.Count == 0
            ? null
            : KitDecision.Refuse(JourneyRefusals.Invalid($"More cannot be discarded than was in the case: {string.Join("; ", more)}.", "Look at the number again. If there were more, count the contents first."));
    }

    private static KitDecision? Lines(KitState state, SignTurnaround sign)
    {
        var lines = TurnaroundLines.Of(sign.Step, state.Items);
        var open = lines.Where(line => sign.Answers.Count(answer => answer.Code == line.Code) != 1).Select(line => $"\"{line.Title}\"").ToList();
        return open.Count > 0
            ? KitDecision.Refuse(RefusalCodes.GateNotMet, $"These lines need one answer each: {string.Join(", ", open)}.", "Answer every line, or say why the step is skipped.")
            : sign.Answers.Any(answer => lines.All(line => line.Code != answer.Code))
            ? KitDecision.Refuse(JourneyRefusals.Invalid("An answer is to no line of this checklist.", "Look at the page as it is now: the list of contents may have changed."))
            : null;
    }
}
