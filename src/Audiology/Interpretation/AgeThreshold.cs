using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>How the thresholds of otologically screened people of one age and sex are spread at one frequency: two half normal distributions that meet at the median (ISO 7029:2017).</summary>
/// <param name="MedianDb">Median shift from that of 18-year-olds, dB; the zero of hearing level is their median, so that it is also a level in dB HL.</param>
/// <param name="WorseSpreadDb">Standard deviation of the half that hears worse, su, dB.</param>
/// <param name="BetterSpreadDb">Standard deviation of the half that hears better, sl, dB.</param>
public sealed record AgeThreshold(double MedianDb, double WorseSpreadDb, double BetterSpreadDb)
{
    /// <summary>The threshold a number of spreads from the median, dB HL.</summary>
    /// <param name="z">Spreads; above 0 is worse than the median.</param>
    /// <exception cref="ArgumentOutOfRangeException">It is not finite.</exception>
    public double At(double z) => double.IsFinite(z)
        ? MedianDb + (z * (z >= 0 ? WorseSpreadDb : BetterSpreadDb))
        : throw new ArgumentOutOfRangeException(nameof(z), z, "The number of spreads must be finite.");

    /// <summary>The threshold that a share of these people hear at least as well as, dB HL: 0.9 gives the one that 10 % exceed.</summary>
    /// <param name="share">Share, above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The share is outside.</exception>
    public double Fractile(double share) => At(Normal.Quantile(share));

    /// <summary>How many spreads a threshold lies from the median; above 0 is worse.</summary>
    /// <param name="levelDbHl">Threshold in dB HL.</param>
    public double SpreadsFromMedian(double levelDbHl) => (levelDbHl - MedianDb) / (levelDbHl >= MedianDb ? WorseSpreadDb : BetterSpreadDb);
}
