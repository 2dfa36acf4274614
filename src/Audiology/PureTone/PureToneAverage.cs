namespace TeleHearing.Audiology.PureTone;

/// <summary>Which frequencies an average is taken over.</summary>
/// <param name="Name">Name as printed, e.g. "PTA 0.5-1-2".</param>
/// <param name="FrequenciesHz">Frequencies in Hz.</param>
public sealed record AverageDefinition(string Name, IReadOnlyList<int> FrequenciesHz);

/// <summary>What a pure-tone average came to. A closed set.</summary>
public abstract record AverageResult
{
    private AverageResult()
    {
    }

    /// <summary>The average.</summary>
    /// <param name="LevelDbHl">Average in dB HL, not rounded.</param>
    /// <param name="NoResponseFrequenciesHz">Frequencies without a response, which were taken as limit + 5 dB: the true average is at least this high. Print the mark with the number.</param>
    public sealed record Formed(double LevelDbHl, IReadOnlyList<int> NoResponseFrequenciesHz) : AverageResult;

    /// <summary>No average, because a frequency has no threshold.</summary>
    /// <param name="Reason">Which and why, e.g. "no threshold at 4000 Hz".</param>
    public sealed record NotFormed(string Reason) : AverageResult;
}

/// <summary>Averages of pure-tone thresholds.</summary>
public static class PureToneAverage
{
    /// <summary>Added to the limit where there was no response, dB (common practice).</summary>
    public const double NoResponseAdditionDb = 5;

    /// <summary>Mean of 500, 1000 and 2000 Hz.</summary>
    public static AverageDefinition Three { get; } = new("PTA 0.5-1-2", [500, 1000, 2000]);

    /// <summary>Mean of 500, 1000, 2000 and 4000 Hz (World Health Organization 2021).</summary>
    public static AverageDefinition Four { get; } = new("PTA 0.5-1-2-4", [500, 1000, 2000, 4000]);

    /// <summary>Forms an average. A missing threshold is never left out silently: then there is no average.</summary>
    /// <param name="definition">Which frequencies.</param>
    /// <param name="outcomes">Outcomes of one ear by frequency in Hz.</param>
    public static AverageResult Of(AverageDefinition definition, IReadOnlyDictionary<int, ThresholdOutcome> outcomes)
    {
        ArgumentNullException.ThrowIfNull(definition);
        ArgumentNullException.ThrowIfNull(outcomes);
        var sum = 0.0;
        var reasons = new List<string>();
        var noResponse = new List<int>();
        foreach (var hertz in definition.FrequenciesHz)
        {
            switch (outcomes.GetValueOrDefault(hertz))
            {
                case ThresholdOutcome.Established established:
                    sum += established.LevelDbHl;
                    break;
                case ThresholdOutcome.NoResponseAtLimit limit:
                    sum += limit.LimitDbHl + NoResponseAdditionDb;
                    noResponse.Add(hertz);
                    break;
                case ThresholdOutcome.NoiseLimited:
                    reasons.Add($"threshold at {hertz} Hz hidden by room noise");
                    break;
                default:
                    reasons.Add($"no threshold at {hertz} Hz");
                    break;
            }
        }

        return reasons.Count > 0 || definition.FrequenciesHz.Count == 0
            ? new AverageResult.NotFormed(reasons.Count > 0 ? string.Join("; ", reasons) : "no frequency to average")
            : new AverageResult.Formed(sum / definition.FrequenciesHz.Count, noResponse);
    }
}
