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

        /// <summary>Whether the silence before it is to be made longer than usual, because the person has just responded to silence (common practice).</summary>
        public bool LengthenGap { get; init; }
    }

    /// <summary>Keep silent as if a tone were presented; a response is a false one.</summary>
    /// <param name="Level">Level the tone would have had.</param>
    public sealed record PresentCatch(HearingLevel Level) : SearchMove
    {
        /// <inheritdoc cref="PresentTone.MaskerDbEm"/>
        public double? MaskerDbEm { get; init; }

        /// <inheritdoc cref="PresentTone.LengthenGap"/>
        public bool LengthenGap { get; init; }
    }

    /// <summary>Explain the task again; then record any answer, and the frequency begins anew. Comes only where <see cref="SearchSettings.RestartsAfterInstruction"/> allows it.</summary>
    /// <param name="Reason">Why, as a sentence for the clinician.</param>
    public sealed record Reinstruct(string Reason) : SearchMove;

    /// <summary>The search is over.</summary>
    /// <param name="Outcome">What it came to.</param>
    public sealed record Finished(ThresholdOutcome Outcome) : SearchMove;
}
