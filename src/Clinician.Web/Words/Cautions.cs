using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Clinician.Web.Workbench.Hearing;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>What the audiology library advises to look at again. Advice for the clinician, never a verdict.</summary>
public static class Cautions
{
    /// <summary>All of it, as sentences.</summary>
    public static IReadOnlyList<string> Of(SessionView view) =>
        [.. MaskingOf(view), .. Enum.GetValues<Ear>().SelectMany(ear => RetestsOf(view, ear).Concat(BetweenOctaves(view, ear)))];

    /// <summary>What the rules in force ask to be masked and is not; with bone conduction unknown the answer is provisional and says so itself.</summary>
    private static IEnumerable<string> MaskingOf(SessionView view)
    {
        var (rules, kind, audiogram) = (MaskingDesk.Rules(view), MaskingDesk.Earphones(view), view.AllMeasurements());
        return from threshold in view.Thresholds
               where threshold.Masking is null
               let need = MaskingNeeds.Judge(rules, kind, audiogram, threshold.Ear, threshold.Route, threshold.FrequencyHz)
               where need.Needed
               select need.Reason;
    }

    private static IEnumerable<string> RetestsOf(SessionView view, Ear ear) =>
        from now in view.Thresholds
        where now.Ear == ear && now.Masking is null
        let before = view.Superseded.LastOrDefault(earlier => earlier.Ear == ear && earlier.Route == now.Route && earlier.FrequencyHz == now.FrequencyHz && earlier.Masking is null && earlier.Method == now.Method)
        where before is not null && !EarProtocol.RetestAgrees(before.Outcome, now.Outcome)
        select $"Retest: the {Side(ear)} ear at {now.FrequencyHz} Hz came to {Charts.OutcomeText.Short(now.Outcome)} after {Charts.OutcomeText.Short(before.Outcome)}. More than 5 dB apart: check the fit, explain the task again, and retest another frequency as well.";

    private static IEnumerable<string> BetweenOctaves(SessionView view, Ear ear)
    {
        var outcomes = view.Thresholds.Where(threshold => threshold.Ear == ear && threshold.Route == ConductionRoute.Air).GroupBy(threshold => threshold.FrequencyHz).ToDictionary(group => group.Key, group => group.Last().Outcome);
        return EarProtocol.InterOctavesToAdd(outcomes)
            .Select(frequency => $"The {Side(ear)} ear changes by 20 dB or more over an octave: {frequency} is worth testing.");
    }

    private static string Side(Ear ear) => ear == Ear.Right ? "right" : "left";
}
