using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Trials and steps in the reader's words.</summary>
public static class TrialWords
{
    /// <summary>What a trial came to, without the reason of a void one.</summary>
    public static string ShortVerdict(TrialRecord trial) => trial.Verdict switch
    {
        TrialVerdict.Heard => "heard",
        TrialVerdict.NotHeard => "not heard",
        TrialVerdict.FalseResponse => "pressed in silence",
        TrialVerdict.CorrectSilence => "no press",
        _ => "void",
    };

    /// <summary>What a trial came to, with the reason of a void one.</summary>
    public static string Verdict(TrialRecord trial) =>
        trial is { Verdict: TrialVerdict.Void, VoidReason: { Length: > 0 } reason } ? $"void: {reason.TrimEnd('.')}" : ShortVerdict(trial);

    /// <summary>A shape beside the words, so that the list can be scanned; never the only sign.</summary>
    public static string Mark(TrialVerdict verdict) => verdict switch
    {
        TrialVerdict.Heard => "●",
        TrialVerdict.NotHeard => "○",
        TrialVerdict.FalseResponse => "▲",
        TrialVerdict.CorrectSilence => "·",
        _ => "×",
    };

    /// <summary>A level as written everywhere.</summary>
    public static string Level(double levelDbHl) => $"{Number(levelDbHl)} dB HL";

    /// <summary>A number with a true minus sign and at most one decimal.</summary>
    public static string Number(double value) => value.ToString("0.#", CultureInfo.InvariantCulture).Replace("-", "\u2212", StringComparison.Ordinal);

    /// <summary>A reaction time.</summary>
    public static string Reaction(double? milliseconds) => milliseconds is { } value ? $"{(value / 1000).ToString("0.00", CultureInfo.InvariantCulture)} s" : "none";

    /// <summary>The route after what it is the route of; nothing for air conduction, which is taken for granted.</summary>
    public static string By(ConductionRoute route) => route switch
    {
        ConductionRoute.BoneMastoid => " by bone, mastoid",
        ConductionRoute.BoneForehead => " by bone, forehead",
        _ => string.Empty,
    };

    /// <summary>A trial as one sentence.</summary>
    public static string Sentence(TrialRecord trial)
    {
        var what = trial.Kind == TrialKind.Catch ? "Silent trial" : $"{Level(trial.LevelDbHl)} at {trial.FrequencyHz} Hz{By(trial.Route)}, {OutcomeText.Name(trial.Ear).ToLowerInvariant()}";
        var after = trial is { Verdict: TrialVerdict.Heard, ReactionMs: { } reaction } ? $" after {Reaction(reaction)}" : string.Empty;
        return $"{what}: {Verdict(trial)}{after}.";
    }

    /// <summary>A step in words.</summary>
    public static string Step(StepRequest request) => request switch
    {
        CheckKitStep => "kit check",
        MeasureRoomStep => "room measurement",
        ProveSidesStep => "side proof",
        PresentToneStep tone => $"tone, {OutcomeText.Name(tone.Ear).ToLowerInvariant()} ear, {tone.FrequencyHz} Hz, {Level(tone.LevelDbHl)}{By(tone.Route)}{(tone.MaskerDbEm is { } masker ? $", masker {Number(masker)} dB EM" : string.Empty)}",
        SearchThresholdStep search => $"{(search.Masked ? "masked " : string.Empty)}threshold search, {OutcomeText.Name(search.Ear).ToLowerInvariant()} ear, {search.FrequencyHz} Hz{By(search.Route)}",
        WearGearStep => "change of gear",
        MeasurePartStep part => $"{part.Part}",
        SearchEarStep search => $"search of the {OutcomeText.Name(search.Ear).ToLowerInvariant()} ear",
        _ => "step",
    };

    /// <summary>How a step ended, with its reason and without a full stop at the end; null while it runs.</summary>
    public static string? Ending(StepView step) => step.Ending switch
    {
        null => null,
        StepEnding.Completed => "completed",
        StepEnding.Cut => "cut; what was finished before stays",
        StepEnding.Interrupted => $"broken off: {Reason(step)}. What was finished before stays",
        StepEnding.Refused => $"not begun by the kit: {Reason(step)}",
        _ => $"failed: {Reason(step)}",
    };

    private static string Reason(StepView step) => step.Reason?.TrimEnd('.', ' ') is { Length: > 0 } reason ? reason : "no reason given";

    /// <summary>The ear, with the letter that always goes with it.</summary>
    public static string EarName(Ear ear) => ear == Ear.Right ? "Right ear" : "Left ear";
}
