using TeleHearing.Audiology.Interpretation;

namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>One bell of a prior.</summary>
/// <param name="Share">Weight; the shares of a prior add up to 1.</param>
/// <param name="MeanDbHl">Middle, dB HL.</param>
/// <param name="SdDb">Standard deviation, dB.</param>
public sealed record PriorPart(double Share, double MeanDbHl, double SdDb);

/// <summary>What is believed of a threshold before its first tone: a mixture of bells.</summary>
/// <param name="Parts">The bells.</param>
public sealed record EstimatePrior(IReadOnlyList<PriorPart> Parts)
{
    // Whatever else is known, one person in thirty is taken to fit nothing of it. A design choice: without it a steep audiogram would be bent towards its neighbours.
    private static readonly PriorPart _surprise = new(1.0 / 30, 45, 35);

    /// <summary>Nothing known of the person.</summary>
    public static EstimatePrior Wide { get; } = For(Ear.Right, AudiometricFrequency.FromHertz(1000), null, null, []);

    /// <summary>What age, sex and the thresholds known already say of another one.</summary>
    /// <param name="ear">Ear of the threshold to come.</param>
    /// <param name="frequency">Its frequency.</param>
    /// <param name="ageYears">Age in years; absent when unknown. Outside the 18 to 80 years of ISO 7029:2017 the nearest of the two is taken.</param>
    /// <param name="sex">Sex; absent when unknown.</param>
    /// <param name="known">Thresholds known already, of both ears, by the same route. One at the same place counts like the others.</param>
    /// <exception cref="ArgumentException">A known threshold is not finite, or its spread is not above 0.</exception>
    public static EstimatePrior For(Ear ear, AudiometricFrequency frequency, double? ageYears, Sex? sex, IReadOnlyList<KnownThreshold> known)
    {
        ArgumentNullException.ThrowIfNull(known);
        if (known.FirstOrDefault(one => !double.IsFinite(one.MeanDbHl) || !(one.SdDb > 0) || !double.IsFinite(one.SdDb) || one.FrequencyHz <= 0) is { } bad)
        {
            throw new ArgumentException($"A known threshold of {bad.MeanDbHl} dB HL, give or take {bad.SdDb} dB, at {bad.FrequencyHz} Hz cannot be used.", nameof(known));
        }

        var classes = HearingClass.Of(ageYears, sex).Select(one => (one.Share, Fit: ClassFit.Of(one, ear, frequency.Hertz, known))).ToList();
        var best = classes.Max(one => one.Fit.LogEvidence);
        var weights = classes.Select(one => one.Share * Math.Exp(one.Fit.LogEvidence - best)).ToList();
        var scale = (1 - _surprise.Share) / weights.Sum();
        return new([.. classes.Zip(weights, (one, weight) => new PriorPart(weight * scale, one.Fit.MeanDb, one.Fit.SdDb)), _surprise]);
    }

    /// <summary>Mean of the mixture, dB HL.</summary>
    public double MeanDbHl => Parts.Sum(part => part.Share * part.MeanDbHl);

    /// <summary>Relative density at a threshold.</summary>
    internal double Density(double thresholdDbHl)
    {
        var sum = 0.0;
        foreach (var part in Parts)
        {
            var z = (thresholdDbHl - part.MeanDbHl) / part.SdDb;
            sum += part.Share / part.SdDb * Math.Exp(-z * z / 2);
        }

        return sum;
    }

    /// <inheritdoc />
    public bool Equals(EstimatePrior? other) => other is not null && Parts.SequenceEqual(other.Parts);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(Parts.Count, MeanDbHl);
}
