using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>Judges how far the results of an ear can be relied on.</summary>
/// <remarks>
/// No standard gives a number of false responses or a spread from which an ear must be measured again. The bounds here are design choices, set by simulation so that of cooperative listeners (false
/// alarms to 5 %, lapses to 2 %) fewer than 2 of 100 ears are to be repeated, and of listeners with 20 % of false alarms or inconsistent answers at least 95.
/// </remarks>
public static class Reliability
{
    /// <summary>From this ratio of likelihoods on (natural logarithm) an ear is to be repeated because of presses without cause.</summary>
    internal const double PressingFrom = 0;

    /// <summary>Change of a repeat that is named, dB (ISO 8253-1:2010, 6.2.3, step 3).</summary>
    private const double RepeatDiffersFromDb = 10;

    /// <summary>Judges an ear.</summary>
    /// <param name="ear">Ear.</param>
    /// <param name="audiogram">Everything measured at both ears, in order; quick looks among it count only where there is nothing else.</param>
    /// <param name="kind">Earphones the thresholds by air were measured with.</param>
    /// <param name="rules">Rules of masking; absent when missing masking is not to be judged.</param>
    public static EarReliability Judge(Ear ear, IReadOnlyList<Measurement> audiogram, TransducerKind kind, MaskingRules? rules)
    {
        ArgumentNullException.ThrowIfNull(audiogram);
        List<Measurement> searched = [.. audiogram.Where(one => one.Ear == ear && one.Method != ThresholdMethod.Estimate)];
        List<Measurement> own = searched.Count > 0 ? searched : [.. audiogram.Where(one => one.Ear == ear)];
        var quickLook = searched.Count == 0 && own.Count > 0;
        var changes = AnswerEvidence.Changes(searched);
        List<ReliabilityReason> reasons =
        [
            // The evidence of steady answers is that of searches; of a quick look only the answers to silence are judged.
            .. quickLook ? QuickLook(own) : Answers(own, changes),
            .. Repeats(changes),
            .. Trials(own),
            .. AtTheBottom(own),
            .. EarCompleteness.Reasons(own),
            .. EarPlausibility.Reasons(own),
            .. rules is null ? [] : EarPlausibility.MaskingReasons(ear, audiogram, kind, rules),
        ];
        reasons = [.. reasons.OrderByDescending(reason => reason.Weight)];
        return new EarReliability(ear, reasons is [var gravest, ..] ? gravest.Weight : EarVerdict.Accept, reasons)
        {
            RepeatDifferenceDb = changes.Count == 0 ? null : changes.Max(change => change.Db),
            CatchTrials = own.Sum(one => one.Tally.CatchTrials),
            FalseResponses = own.Sum(one => one.Tally.FalseResponses),
            EarlyPresses = own.Sum(one => one.Tally.EarlyPresses),
            LargestSpanDb = own.Count == 0 ? 0 : own.Max(one => one.Tally.AscentSpanDb),
            Tones = own.Sum(one => one.Tally.Tones),
            Measurements = own.Count,
            DurationSeconds = own.Sum(one => one.Tally.DurationSeconds),
            NoiseVoids = own.Sum(one => one.Tally.NoiseVoids),
        };
    }

    private static IEnumerable<ReliabilityReason> Answers(List<Measurement> own, List<(int Hertz, double Db)> changes)
    {
        var (pressing, inconsistency) = AnswerEvidence.Of(own, changes.Select(change => change.Db));
        var (silent, falsely, early) = (own.Sum(one => one.Tally.CatchTrials), own.Sum(one => one.Tally.FalseResponses), own.Sum(one => one.Tally.EarlyPresses));
        if (pressing >= PressingFrom && own.Count > 0 && falsely + early > 0)
        {
            yield return new ReliabilityReason(ReliabilityCodes.PressesWithoutCause, EarVerdict.Repeat, null, Say(
                $"The person responded in {falsely} of {silent} silent trials and pressed {early} times before a tone; with the answers to soft tones this fits pressing without hearing at least as well as answering tones alone."));
        }
        else if (FalseResponses(own) is { } often)
        {
            yield return often;
        }

        // Counts alone do not show how answers scatter; then the repeats speak for themselves.
        var known = AnswerEvidence.Known(own);
        if (known > 0 && inconsistency >= AnswerEvidence.InconsistencyFrom(known) && inconsistency > pressing)
        {
            yield return new ReliabilityReason(ReliabilityCodes.InconsistentAnswers, EarVerdict.Repeat, null, Say(
                $"Tones of the same level were heard at one time and missed at another over a wide range (ascents up to {own.Max(one => one.Tally.AscentSpanDb):0.#} dB apart{Changed(changes)}), as when what is worth an answer keeps changing."));
        }
    }

    private static string Changed(List<(int Hertz, double Db)> changes) =>
        changes.Count > 0 ? Say($", repeats up to {changes.Max(change => change.Db):0.#} dB apart") : string.Empty;

    private static IEnumerable<ReliabilityReason> Repeats(List<(int Hertz, double Db)> changes)
    {
        // Further repeats that agree show that the first did not stand for the ear (ISO 8253-1:2010, 6.2.3, step 3).
        var settled = changes.Count > 0 && changes[^1].Db <= EarProtocol.RetestAgreementDb;
        foreach (var (hertz, change) in changes.Where(change => change.Db >= RepeatDiffersFromDb))
        {
            yield return new ReliabilityReason(
                ReliabilityCodes.RepeatDiffers,
                settled || changes.Count == 1 ? EarVerdict.AcceptWithLimits : EarVerdict.Repeat,
                hertz,
                Say($"The repeat at {hertz} Hz differs by {change:0.#} dB{(settled ? ", later repeats agree" : string.Empty)}."));
        }
    }

    // An estimate is a first look and a place to begin; what is reported is measured by a search.
    private static IEnumerable<ReliabilityReason> QuickLook(List<Measurement> own)
    {
        yield return new ReliabilityReason(ReliabilityCodes.QuickLookOnly, EarVerdict.AcceptWithLimits, null, "Only a quick look was taken at this ear: its estimates show where thresholds lie and stand for none.");
        if (FalseResponses(own) is { } falsely)
        {
            yield return falsely;
        }
    }

    private static ReliabilityReason? FalseResponses(List<Measurement> own)
    {
        var (silent, falsely) = (own.Sum(one => one.Tally.CatchTrials), own.Sum(one => one.Tally.FalseResponses));
        return falsely >= 2 && falsely * 10 > silent
            ? new ReliabilityReason(ReliabilityCodes.FalseResponses, EarVerdict.AcceptWithLimits, null, Say($"The person responded in {falsely} of {silent} silent trials, more than 1 in 10."))
            : null;
    }

    private static IEnumerable<ReliabilityReason> AtTheBottom(List<Measurement> own)
    {
        List<int> hertz = [.. own.Where(one => one.Outcome is ThresholdOutcome.Established { LevelDbHl: <= HearingLevels.LowestPresentedDbHl }).Select(one => one.FrequencyHz).Distinct().Order()];
        if (hertz.Count > 0)
        {
            yield return new ReliabilityReason(ReliabilityCodes.LowestLevelHeard, EarVerdict.Accept, hertz is [var only] ? only : null, Say(
                $"The lowest level that is presented, {HearingLevels.LowestPresentedDbHl} dB HL, was heard at {string.Join(", ", hertz)} Hz: the threshold is there or below."));
        }
    }

    private static IEnumerable<ReliabilityReason> Trials(List<Measurement> own)
    {
        // ISO 8253-1:2010, 6.2.3: averaged levels that span more than 10 dB make a result doubtful.
        foreach (var one in own.Where(one => one.Tally.AscentSpanDb > BracketTally.DoubtfulOverDb && one.Outcome is ThresholdOutcome.Established))
        {
            yield return new ReliabilityReason(ReliabilityCodes.WideSpan, EarVerdict.AcceptWithLimits, one.FrequencyHz, Say(
                $"At {one.FrequencyHz} Hz the levels that led to the threshold lie {one.Tally.AscentSpanDb:0.#} dB apart, which makes it doubtful."));
        }

        // An ordinary search takes 8 to 25 tones; a masked one more. A design choice.
        foreach (var one in own.Where(one => one.Tally.Tones > 30 && one.Masking is null && one.Outcome is ThresholdOutcome.Established))
        {
            yield return new ReliabilityReason(ReliabilityCodes.ManyPresentations, EarVerdict.AcceptWithLimits, one.FrequencyHz, Say(
                $"At {one.FrequencyHz} Hz {one.Tally.Tones} tones were needed."));
        }
    }

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);
}
