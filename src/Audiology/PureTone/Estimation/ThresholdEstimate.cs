namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>What is believed of a threshold after some tones.</summary>
/// <param name="MedianDbHl">The level below which the threshold lies with even odds, dB HL.</param>
/// <param name="LowerDbHl">Lower end of the credible interval, dB HL.</param>
/// <param name="UpperDbHl">Upper end, dB HL.</param>
/// <param name="CredibleShare">Probability that the threshold lies in the interval, e.g. 0.9; half of the rest lies on either side.</param>
/// <param name="SdDb">Standard deviation, dB.</param>
/// <remarks>The threshold of this method is the middle of the psychometric function: the level at which a tone is heard half the time, lapses and false alarms apart.</remarks>
public sealed record ThresholdEstimate(double MedianDbHl, double LowerDbHl, double UpperDbHl, double CredibleShare, double SdDb)
{
    /// <summary>Mean, dB HL.</summary>
    public double MeanDbHl { get; init; } = MedianDbHl;

    /// <summary>A clearly audible level at which the standard search may begin: above the credible interval by a step, on the 5 dB grid.</summary>
    /// <param name="minimumDbHl">Lowest level allowed, dB HL.</param>
    /// <param name="maximumDbHl">Highest level allowed, dB HL.</param>
    /// <exception cref="ArgumentException">The bounds are crossed or no numbers.</exception>
    public double StartDbHl(double minimumDbHl, double maximumDbHl)
    {
        var (lowest, highest) = (HearingLevels.RoundUpToStep(minimumDbHl), HearingLevels.RoundDownToStep(maximumDbHl));
        return lowest <= highest
            ? Math.Clamp(HearingLevels.RoundUpToStep(UpperDbHl) + HearingLevels.StepDb, lowest, highest)
            : throw new ArgumentException($"There is no step between {minimumDbHl} and {maximumDbHl} dB HL.", nameof(maximumDbHl));
    }
}
