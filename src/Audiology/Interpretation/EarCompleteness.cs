using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>What the judgement of an ear lacks: thresholds that were looked for and not found, and what noise hid or spoiled.</summary>
internal static class EarCompleteness
{
    /// <summary>Share of spoiled presentations that is named. A design choice.</summary>
    private const double NoiseVoidShare = 0.2;

    public static IEnumerable<ReliabilityReason> Reasons(List<Measurement> own)
    {
        if (own.Count == 0)
        {
            yield return new ReliabilityReason(ReliabilityCodes.NothingMeasured, EarVerdict.Repeat, null, "Nothing was measured at this ear.");
            yield break;
        }

        var lacking = own
            .Where(one => one.Masking is null)
            .GroupBy(one => (one.Route, one.FrequencyHz))
            .Select(group => (group.Key.Route, group.Key.FrequencyHz, Missing: group.All(one => one.Outcome is ThresholdOutcome.NotEstablished)))
            .ToList();
        var missing = lacking.Where(one => one.Missing).ToList();
        if (missing.Count > 0)
        {
            // With half of the frequencies missing there is no audiogram to speak of. A design choice.
            yield return new ReliabilityReason(
                ReliabilityCodes.NoThreshold,
                2 * missing.Count >= lacking.Count ? EarVerdict.Repeat : EarVerdict.AcceptWithLimits,
                missing.Count == 1 ? missing[0].FrequencyHz : null,
                $"No threshold was established at {string.Join(", ", missing.Select(one => $"{one.FrequencyHz} Hz{(one.Route == ConductionRoute.Air ? string.Empty : " by bone")}"))}.");
        }

        var hidden = own.Where(one => one.Outcome is ThresholdOutcome.NoiseLimited).Select(one => one.FrequencyHz).Distinct().ToList();
        if (hidden.Count > 0)
        {
            yield return new ReliabilityReason(
                ReliabilityCodes.RoomNoise, EarVerdict.AcceptWithLimits, hidden.Count == 1 ? hidden[0] : null, $"Room noise hid how good the threshold is at {string.Join(", ", hidden)} Hz.");
        }

        var (voids, tones) = (own.Sum(one => one.Tally.NoiseVoids), own.Sum(one => one.Tally.Tones));
        if (voids > NoiseVoidShare * (tones + voids))
        {
            yield return new ReliabilityReason(ReliabilityCodes.RoomNoise, EarVerdict.AcceptWithLimits, null, $"Noise spoiled {voids} of {tones + voids} presentations.");
        }
    }
}
