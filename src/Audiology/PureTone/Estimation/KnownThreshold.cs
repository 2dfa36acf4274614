namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>What is known already of the person's hearing at one place, as a start for another.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="MeanDbHl">Mean of what is believed of the threshold, dB HL.</param>
/// <param name="SdDb">Its standard deviation, dB; above 0.</param>
public sealed record KnownThreshold(Ear Ear, int FrequencyHz, double MeanDbHl, double SdDb)
{
    // Half of a step of 5 dB and the repeatability of a threshold (ISO 8253-1:2010, A.3.2: 2.5 dB up to 4 kHz) together.
    private const double SearchSdDb = 3;

    // No more is known than that it lies beyond a limit. Design choices.
    private const double BeyondLimitDb = 10;
    private const double BeyondLimitSdDb = 10;

    /// <summary>What a finished measurement says; absent when it came to no threshold. No response counts as 10 dB beyond the limit, hidden by noise as 10 dB below the bound, both give or take 10 dB.</summary>
    public static KnownThreshold? From(Measurement measurement)
    {
        ArgumentNullException.ThrowIfNull(measurement);
        return measurement.Outcome switch
        {
            ThresholdOutcome.Established established => new(measurement.Ear, measurement.FrequencyHz, established.LevelDbHl, SearchSdDb),
            ThresholdOutcome.NoResponseAtLimit limit => new(measurement.Ear, measurement.FrequencyHz, limit.LimitDbHl + BeyondLimitDb, BeyondLimitSdDb),
            ThresholdOutcome.NoiseLimited limited => new(measurement.Ear, measurement.FrequencyHz, limited.BoundDbHl - BeyondLimitDb, BeyondLimitSdDb),
            _ => null,
        };
    }
}
