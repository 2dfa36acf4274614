namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>How an estimate goes about its work.</summary>
/// <param name="Search">Levels and limits it shares with the standard search: lowest and highest level, step of the levels presented and reported, bound of the room, familiarisation, catch trials, voids, instruction. Steps down and up and number of presentations are not used; the stopping rule says how sure it must be.</param>
/// <param name="Prior">What is believed before the first tone.</param>
public sealed record EstimateSettings(SearchSettings Search, EstimatePrior Prior)
{
    private readonly double? _stopSdDb;

    /// <summary>Probability that the credible interval holds the threshold.</summary>
    public double CredibleShare { get; init; } = 0.9;

    /// <summary>
    /// Uncertainty at which the estimate stops: standard deviation of the threshold, dB. 2.4, or 1.6 where the stopping rule of the search is the full one of three in five ascents. Design choices, set by
    /// simulation so that the estimate errs no more than the search by that rule.
    /// </summary>
    public double StopSdDb { get => _stopSdDb ?? (Search.Rule == StoppingRule.ThreeOfFive ? 1.6 : 2.4); init => _stopSdDb = value; }

    /// <summary>Uncertainty with which a threshold may still be reported when the tones have run out, dB. A design choice: a step of 5 dB.</summary>
    public double LargestSdDb { get; init; } = 5;

    /// <summary>Tones that count, before which no threshold is reported: a prior alone makes none. A design choice.</summary>
    public int MinimumTones { get; init; } = 3;

    /// <summary>Tones that count, after which the estimate ends. A design choice: an ordinary one takes 3 to 9.</summary>
    public int MaximumTones { get; init; } = 24;

    /// <summary>Whether to begin with clearly audible tones until one is heard. Left out once the person knows the task from another frequency.</summary>
    public bool Familiarise { get; init; } = true;

    /// <summary>Level of the last tone of the session that was heard to its end, dB HL; absent when there was none. No tone is further above the last one than kits allow.</summary>
    public double? PreviousDbHl { get; init; }
}
