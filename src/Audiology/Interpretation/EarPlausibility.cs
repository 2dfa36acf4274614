using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>Whether the thresholds of an ear fit together: air and bone, what can be felt, and masking.</summary>
internal static class EarPlausibility
{
    /// <summary>Air-bone gap of the wrong sign that is named, dB: bone more than 10 dB poorer than air (design value of the reference study).</summary>
    private const double WrongGapOverDb = 10;

    public static IEnumerable<ReliabilityReason> Reasons(List<Measurement> own)
    {
        foreach (var bone in Last(own.Where(one => one.Route != ConductionRoute.Air)))
        {
            if (bone.Outcome is not ThresholdOutcome.Established { LevelDbHl: var level })
            {
                continue;
            }

            var air = Last(own.Where(one => one.Route == ConductionRoute.Air && one.FrequencyHz == bone.FrequencyHz)).LastOrDefault();
            if (air?.Outcome is ThresholdOutcome.Established { LevelDbHl: var airLevel } && level - airLevel > WrongGapOverDb)
            {
                yield return new ReliabilityReason(ReliabilityCodes.BonePoorerThanAir, EarVerdict.AcceptWithLimits, bone.FrequencyHz, Say(
                    $"At {bone.FrequencyHz} Hz bone conduction is {level - airLevel:0.#} dB poorer than air conduction, which no ear explains: check the vibrator and its place."));
            }

            if (VibrotactileLevels.FromDbHl(bone.Route, bone.FrequencyHz) is { } felt && level >= felt)
            {
                yield return new ReliabilityReason(ReliabilityCodes.MayBeFelt, EarVerdict.AcceptWithLimits, bone.FrequencyHz, Say(
                    $"At {bone.FrequencyHz} Hz the response by bone at {level:0.#} dB HL may be feeling and not hearing, which is possible from {felt:0.#} dB HL on."));
            }
        }
    }

    public static IEnumerable<ReliabilityReason> MaskingReasons(Ear ear, IReadOnlyList<Measurement> audiogram, TransducerKind kind, MaskingRules rules)
    {
        List<Measurement> measured = [.. audiogram.Where(one => one.Method != ThresholdMethod.Estimate)];
        foreach (var one in Last(measured.Where(one => one.Ear == ear)))
        {
            if (one.Masking is { Verdict: MaskingVerdict.Plateau or MaskingVerdict.NoResponse })
            {
                continue;
            }

            if (one.Masking is { } failed)
            {
                yield return new ReliabilityReason(ReliabilityCodes.MissingMasking, EarVerdict.AcceptWithLimits, one.FrequencyHz, Say($"At {one.FrequencyHz} Hz masking did not succeed: {failed.Reason}"));
            }
            else if (MaskingNeeds.Judge(rules, kind, measured, ear, one.Route, one.FrequencyHz) is { Needed: true } need)
            {
                yield return new ReliabilityReason(ReliabilityCodes.MissingMasking, EarVerdict.AcceptWithLimits, one.FrequencyHz, $"Not masked though it should be. {need.Reason}");
            }
        }
    }

    // The masked measurement of a frequency stands before the unmasked one, the later before the earlier.
    private static IEnumerable<Measurement> Last(IEnumerable<Measurement> measurements) => measurements
        .GroupBy(one => (one.Route, one.FrequencyHz))
        .Select(group => group.LastOrDefault(one => one.Masking is not null) ?? group.Last());

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);
}
