using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>What the audiology library advises to look at again. Advice for the clinician, never a verdict.</summary>
public static class Cautions
{
    /// <summary>All of it, as sentences.</summary>
    public static IReadOnlyList<string> Of(SessionView view) =>
        [.. CrossHearingOf(view), .. Enum.GetValues<Ear>().SelectMany(ear => RetestsOf(view, ear).Concat(BetweenOctaves(view, ear)))];

    private static IEnumerable<string> CrossHearingOf(SessionView view)
    {
        if (view.Thresholds.Count == 0)
        {
            return [];
        }

        // One session is measured with one pair of earphones; were there two, the smaller difference is the careful one.
        var kind = view.Thresholds.Select(threshold => threshold.Gear.TransducerKind).Distinct().MinBy(CrossHearing.DifferenceDb);
        return CrossHearing.Find(kind, [.. view.Thresholds.Select(threshold => new EarThreshold(threshold.Ear, threshold.FrequencyHz, threshold.Outcome, Masked: false))])
            .Select(caution => caution.Sentence);
    }

    private static IEnumerable<string> RetestsOf(SessionView view, Ear ear) =>
        from now in view.Thresholds
        where now.Ear == ear
        let before = view.Superseded.LastOrDefault(earlier => earlier.Ear == ear && earlier.FrequencyHz == now.FrequencyHz)
        where before is not null && !EarProtocol.RetestAgrees(before.Outcome, now.Outcome)
        select $"Retest: the {Side(ear)} ear at {now.FrequencyHz} Hz came to {Charts.OutcomeText.Short(now.Outcome)} after {Charts.OutcomeText.Short(before.Outcome)}. More than 5 dB apart: check the fit, explain the task again, and retest another frequency as well.";

    private static IEnumerable<string> BetweenOctaves(SessionView view, Ear ear)
    {
        var outcomes = view.Thresholds.Where(threshold => threshold.Ear == ear).GroupBy(threshold => threshold.FrequencyHz).ToDictionary(group => group.Key, group => group.Last().Outcome);
        return EarProtocol.InterOctavesToAdd(outcomes)
            .Select(frequency => $"The {Side(ear)} ear changes by 20 dB or more over an octave: {frequency} is worth testing.");
    }

    private static string Side(Ear ear) => ear == Ear.Right ? "right" : "left";
}
