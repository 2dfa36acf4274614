namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>How an estimate goes about its work.</summary>
/// <param name="Search">Levels and limits it shares with the standard search: lowest and highest level, step of the levels presented and reported, bound of the room, familiarisation, catch trials, voids, instruction. Stopping rule, steps down and up and number of presentations are not used.</param>
/// <param name="Prior">What is believed before the first tone.</param>
public sealed record EstimateSettings(SearchSettings Search, EstimatePrior Prior)
{
    /// <summary>Probability that the credible interval holds the threshold.</summary>
    public double CredibleShare { get; init; } = 0.9;

    /// <summary>Uncertainty at which the estimate stops: standard deviation of the threshold, dB. A design choice, set by simulation.</summary>
    public double StopSdDb { get; init; } = 2.4;

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
