namespace TeleHearing.Logistics.Numerics;

/// <summary>A number estimated from what happened, with the interval that holds the truth in a stated share of cases.</summary>
/// <param name="Value">The estimate.</param>
/// <param name="Low">Lower end.</param>
/// <param name="High">Upper end.</param>
/// <param name="Confidence">Share of such intervals that hold the truth, as 0.95.</param>
/// <param name="Count">Events or numbers it was made from.</param>
/// <param name="Method">How the interval was found, in words to show beside it.</param>
public sealed record Estimate(double Value, double Low, double High, double Confidence, int Count, string Method)
{
    /// <summary>Name of the interval around a count.</summary>
    public const string ExactPoisson = "exact Poisson interval (Garwood 1936)";

    /// <summary>Name of the interval around a mean.</summary>
    public const string StudentMean = "Student's t interval of the mean";

    /// <summary>Confidence used unless another is asked for.</summary>
    public const double UsualConfidence = 0.95;

    /// <summary>Rate of events that come independently, from their count.</summary>
    /// <param name="events">Events counted, 0 to <see cref="Fleet.PoissonCount.MostEvents"/>.</param>
    /// <param name="exposure">How long they were counted for, above 0, in the unit of time the rate is wanted per.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    public static Estimate Rate(int events, double exposure, double confidence)
    {
        Require.Count(events, 0, Fleet.PoissonCount.MostEvents);
        Require.Above(exposure, 0, 1e9);
        Require.Between(confidence, 0, 1);
        var tail = (1 - confidence) / 2;
        var low = events == 0 ? 0 : Gamma.Quantile(events, tail);
        var high = Gamma.Quantile(events + 1, 1 - tail);
        return new Estimate(events / exposure, low / exposure, high / exposure, confidence, events, ExactPoisson);
    }

    /// <summary>Mean of independent numbers.</summary>
    /// <param name="values">Two or more finite numbers.</param>
    /// <param name="confidence">Above 0 and below 1.</param>
    public static Estimate Mean(IReadOnlyList<double> values, double confidence)
    {
        ArgumentNullException.ThrowIfNull(values);
        Require.Count(values.Count, 2, int.MaxValue, nameof(values));
        Require.Between(confidence, 0, 1);
        foreach (var value in values)
        {
            Require.Within(value, -1e9, 1e9, nameof(values));
        }

        var mean = values.Average();
        var variance = values.Sum(value => (value - mean) * (value - mean)) / (values.Count - 1);
        var half = StudentT.TwoSided(values.Count - 1, confidence) * Math.Sqrt(variance / values.Count);
        return new Estimate(mean, mean - half, mean + half, confidence, values.Count, StudentMean);
    }
}
