namespace TeleHearing.Audiology.Signals;

/// <summary>A sound to be made. A closed set: <see cref="ToneSpec"/>, <see cref="WarbleSpec"/>, <see cref="NarrowBandNoiseSpec"/>, <see cref="BroadbandNoiseSpec"/>, <see cref="SilenceSpec"/>.</summary>
/// <remarks>The same specification always gives the same samples, so that keeping it (with the seed of a noise) keeps the sound.</remarks>
public abstract record StimulusSpec
{
    /// <summary>Lowest sample rate in Hz. A design limit; the native rates of sound devices are far above.</summary>
    public const int LowestSampleRateHz = 8000;

    /// <summary>Highest sample rate in Hz. A design limit.</summary>
    public const int HighestSampleRateHz = 384_000;

    /// <summary>Shortest sound in ms: room for a rise and a fall of 35 ms with a plateau between. A design limit.</summary>
    public const double ShortestMs = 100;

    private protected StimulusSpec()
    {
    }

    /// <summary>Longest length in ms from the first to the last sample, rise and fall included.</summary>
    public abstract double DurationMs { get; init; }

    /// <summary>Sample rate in Hz.</summary>
    public abstract int SampleRateHz { get; init; }

    /// <summary>Longest sound of this kind in ms. A design limit; what a kit plays at a time is limited by its ceilings.</summary>
    internal abstract double LongestMs { get; }

    /// <summary>Everything wrong with it, in sentences; empty when it can be made.</summary>
    public IReadOnlyList<string> Faults() =>
    [
        .. SampleRateHz is >= LowestSampleRateHz and <= HighestSampleRateHz
            ? OwnFaults()
            : [$"The sample rate must be {LowestSampleRateHz} to {HighestSampleRateHz} Hz, not {SampleRateHz} Hz."],
        .. Need(DurationMs >= ShortestMs && DurationMs <= LongestMs, $"The duration must be {ShortestMs} to {LongestMs} ms, not {DurationMs} ms."),
    ];

    /// <summary>What is wrong with the values of its kind. The sample rate is sound when this is asked.</summary>
    private protected abstract IEnumerable<string> OwnFaults();

    private protected static IEnumerable<string> Need(bool holds, string sentence) => holds ? [] : [sentence];

    /// <summary>Refuses a specification that cannot be made.</summary>
    /// <exception cref="ArgumentOutOfRangeException">A value is outside its range or not finite; the message names every one.</exception>
    internal void ThrowIfFaulty()
    {
        if (Faults() is { Count: > 0 } faults)
        {
            throw new ArgumentOutOfRangeException("spec", string.Join(" ", faults));
        }
    }
}
