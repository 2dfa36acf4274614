using TeleHearing.Audiology.Interpretation;

namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>One idea of how a person may hear, as a Gaussian process over frequency and ear: a mean, a spread, and how alike two places are.</summary>
/// <remarks>
/// <para>A prior mixes several of them, since screened people and those with a loss do not make one bell: the thresholds found so far decide which fits.</para>
/// <para>ISO 7029 gives no correlations between frequencies or ears, and nothing published was at hand: every number here is a design choice. They err towards too wide, which costs
/// tones and not truth. Checked by simulation: docs/validation/estimation.md.</para>
/// </remarks>
internal sealed class HearingClass
{
    private readonly Func<double, (double MeanDb, double SdDb)> _at;

    private HearingClass(double share, Func<double, (double, double)> at) => (Share, _at) = (share, at);

    /// <summary>Share among the people tested, before anything is known.</summary>
    public double Share { get; }

    /// <summary>Correlation that every frequency has with every other.</summary>
    private double Overall { get; init; }

    /// <summary>Correlation that fades with the distance of two frequencies.</summary>
    private double Smooth { get; init; }

    /// <summary>Distance at which the fading part has fallen to 61 %, octaves.</summary>
    private double Octaves { get; init; }

    /// <summary>Factor between the ears.</summary>
    private double BetweenEars { get; init; }

    /// <summary>The classes of people of an age and sex; of any, where they are unknown or outside the standard.</summary>
    /// <param name="ageYears">Age in years; absent when unknown.</param>
    /// <param name="sex">Sex; absent when unknown.</param>
    public static IReadOnlyList<HearingClass> Of(double? ageYears, Sex? sex)
    {
        var age = ageYears is { } years && double.IsFinite(years) ? Math.Clamp(years, AgeThresholds.YoungestYears, AgeThresholds.OldestYears) : (double?)null;
        double[] ages = age is { } known ? [known] : [25, 50, 70];
        return
        [
            .. ages.Select(one => new HearingClass(0.7 / ages.Length, hertz => Screened(one, sex, hertz)) { Overall = 0.45, Smooth = 0.4, Octaves = 1, BetweenEars = 0.85 }),
            new HearingClass(0.3, hertz => (35 + (5 * Math.Log2(hertz / 1000)), 28)) { Overall = 0.6, Smooth = 0.36, Octaves = 1.3, BetweenEars = 0.8 },
        ];
    }

    /// <summary>Mean and standard deviation at a frequency, dB.</summary>
    public (double MeanDb, double SdDb) At(double hertz) => _at(hertz);

    /// <summary>Correlation of the thresholds at two places.</summary>
    public double Correlation(Ear ear, double hertz, Ear otherEar, double otherHertz)
    {
        if (ear == otherEar && hertz == otherHertz)
        {
            return 1;
        }

        var apart = Math.Log2(hertz / otherHertz) / Octaves;
        return (Overall + (Smooth * Math.Exp(-apart * apart / 2))) * (ear == otherEar ? 1 : BetweenEars);
    }

    private static (double MeanDb, double SdDb) Screened(double age, Sex? sex, double hertz)
    {
        // Above 8 kHz the standard ends: what it says at 8 kHz, wider.
        var frequency = AudiometricFrequency.FromHertz(Math.Min(hertz, 8000));
        var (mean, sd) = sex is { } known ? Bell(AgeThresholds.For(known, age, frequency)) : Both(Bell(AgeThresholds.For(Sex.Female, age, frequency)), Bell(AgeThresholds.For(Sex.Male, age, frequency)));
        return hertz > 8000 ? (mean, sd * 1.5) : (mean, sd);
    }

    // Mean and spread of two half bells that meet at the median; people at a clinic are taken as a little worse and a fifth wider spread than screened ones (design choice).
    private static (double MeanDb, double SdDb) Bell(AgeThreshold expected)
    {
        var difference = expected.WorseSpreadDb - expected.BetterSpreadDb;
        var mean = expected.MedianDb + (Math.Sqrt(2 / Math.PI) * difference);
        var variance = ((1 - (2 / Math.PI)) * difference * difference) + (expected.WorseSpreadDb * expected.BetterSpreadDb);
        return (mean + 1, 1.2 * Math.Sqrt(variance));
    }

    private static (double MeanDb, double SdDb) Both((double MeanDb, double SdDb) one, (double MeanDb, double SdDb) other)
    {
        var half = (one.MeanDb - other.MeanDb) / 2;
        return ((one.MeanDb + other.MeanDb) / 2, Math.Sqrt((((one.SdDb * one.SdDb) + (other.SdDb * other.SdDb)) / 2) + (half * half)));
    }
}
