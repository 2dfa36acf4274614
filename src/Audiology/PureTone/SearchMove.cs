namespace TeleHearing.Audiology.PureTone;

/// <summary>What a threshold search wants next. A closed set.</summary>
public abstract record SearchMove
{
    private SearchMove()
    {
    }

    /// <summary>Present a tone.</summary>
    /// <param name="Level">Level.</param>
    /// <param name="Ascending">Whether a response counts towards the threshold: the level was reached from below after a miss, or it is the lowest allowed, below which no ascent can begin.</param>
    public sealed record PresentTone(HearingLevel Level, bool Ascending) : SearchMove
    {
        /// <summary>Masker in the other ear, dB of effective masking; absent for none.</summary>
        public double? MaskerDbEm { get; init; }
    }

    /// <summary>Keep silent as if a tone were presented; a response is a false one.</summary>
    /// <param name="Level">Level the tone would have had.</param>
    public sealed record PresentCatch(HearingLevel Level) : SearchMove
    {
        /// <inheritdoc cref="PresentTone.MaskerDbEm"/>
        public double? MaskerDbEm { get; init; }
    }

    /// <summary>The search is over.</summary>
    /// <param name="Outcome">What it came to.</param>
    public sealed record Finished(ThresholdOutcome Outcome) : SearchMove;
}
