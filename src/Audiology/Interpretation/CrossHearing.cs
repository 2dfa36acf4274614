using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>Finds points that the other ear may have answered for.</summary>
/// <remarks>
/// Rule 1 of the British Society of Audiology 2018, from memory: mask when the ears differ by 40 dB or more with supra-aural or circumaural earphones, by
/// 55 dB or more with inserts. The flag is a caution for the clinician, who decides; that it is absent does not prove the opposite, since bone conduction
/// is not looked at.
/// </remarks>
public static class CrossHearing
{
    /// <summary>Difference between the ears from which cross-hearing is possible, dB.</summary>
    public static double DifferenceDb(TransducerKind kind) => kind == TransducerKind.Insert ? 55 : 40;

    /// <summary>The cautions of an audiogram, by frequency.</summary>
    /// <param name="kind">Kind of transducer it was measured with.</param>
    /// <param name="thresholds">Points; of several for one ear and frequency the last counts.</param>
    public static IReadOnlyList<AudiogramCaution> Find(TransducerKind kind, IReadOnlyList<EarThreshold> thresholds)
    {
        ArgumentNullException.ThrowIfNull(thresholds);
        return
        [
            .. thresholds
                .GroupBy(point => point.FrequencyHz)
                .OrderBy(points => points.Key)
                .SelectMany(points => new[] { Ear.Right, Ear.Left }.Select(ear => Judge(kind, ear, points)))
                .OfType<AudiogramCaution>(),
        ];
    }

    private static AudiogramCaution? Judge(TransducerKind kind, Ear ear, IGrouping<int, EarThreshold> points)
    {
        var tested = points.LastOrDefault(point => point.Ear == ear);
        var other = points.LastOrDefault(point => point.Ear != ear);
        if (tested is null || other is null || tested.Masked || Poorest(tested.Outcome) is not { } poorest || Best(other.Outcome) is not { } best
            || poorest - best < DifferenceDb(kind))
        {
            return null;
        }

        var side = ear == Ear.Right ? "right" : "left";
        var why = other.Outcome is ThresholdOutcome.NoiseLimited
            ? "room noise hid the other ear's threshold, so a difference that lets the other ear hear the tone cannot be ruled out"
            : $"it lies {poorest - best:0.#} dB above the other ear's, which may have heard the tone";
        return new AudiogramCaution(
            AudiogramCautionCodes.PossibleCrossHearing,
            ear,
            points.Key,
            $"Possible cross-hearing: the {side} ear at {points.Key} Hz was not masked, and {why}.");
    }

    // Where there was no response, neither ear heard the tone, and there is nothing to be careful of.
    private static double? Poorest(ThresholdOutcome outcome) => outcome switch
    {
        ThresholdOutcome.Established established => established.LevelDbHl,
        ThresholdOutcome.NoiseLimited noise => noise.BoundDbHl,
        _ => null,
    };

    // A threshold hidden by noise may be as good as any. An ear that does not respond at the limit is no better than that.
    private static double? Best(ThresholdOutcome outcome) => outcome switch
    {
        ThresholdOutcome.Established established => established.LevelDbHl,
        ThresholdOutcome.NoResponseAtLimit limit => limit.LimitDbHl,
        ThresholdOutcome.NoiseLimited => HearingLevels.LowestPresentedDbHl,
        _ => null,
    };
}
