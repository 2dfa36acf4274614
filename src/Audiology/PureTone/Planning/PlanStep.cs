namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>What comes next in an audiogram. A closed set.</summary>
public abstract record PlanStep
{
    private PlanStep()
    {
    }

    /// <summary>Measure a threshold.</summary>
    /// <param name="Part">Ear, route and masking.</param>
    /// <param name="FrequencyHz">Frequency in Hz.</param>
    /// <param name="Purpose">Why, as a kind.</param>
    /// <param name="StartDbHl">Level expected to be heard, to begin the search there; for a masked threshold the unmasked one. Absent for the published beginning.</param>
    /// <param name="Reason">Why, as a sentence.</param>
    public sealed record Measure(PlanPart Part, int FrequencyHz, MeasurePurpose Purpose, double? StartDbHl, string Reason) : PlanStep;

    /// <summary>Put another transducer on, or move the vibrator, before the part can go on.</summary>
    /// <param name="Part">Part it is needed for.</param>
    /// <param name="Reason">What is to be done and why, as a sentence.</param>
    public sealed record ChangeTransducer(PlanPart Part, string Reason) : PlanStep;

    /// <summary>Nothing can go on until the operator has decided.</summary>
    /// <param name="Part">Part that cannot go on; absent when none can.</param>
    /// <param name="Code">Code of <see cref="PlanBlockCodes"/>.</param>
    /// <param name="Reason">What happened, what is safe, and what can be done, in sentences.</param>
    public sealed record Blocked(PlanPart? Part, string Code, string Reason) : PlanStep;

    /// <summary>There is nothing more to measure.</summary>
    /// <param name="Notes">What is missing or uncertain, and why.</param>
    public sealed record Finished(IReadOnlyList<PlanNote> Notes) : PlanStep
    {
        /// <inheritdoc />
        public bool Equals(Finished? other) => other is not null && Notes.SequenceEqual(other.Notes);

        /// <inheritdoc />
        public override int GetHashCode() => Notes.Count;
    }
}

/// <summary>What a finished plan lacks.</summary>
/// <param name="Part">Part.</param>
/// <param name="FrequencyHz">Frequency in Hz; absent when the whole part, or several frequencies of it, are meant.</param>
/// <param name="Sentence">What and why.</param>
public sealed record PlanNote(PlanPart Part, int? FrequencyHz, string Sentence);

/// <summary>Why a plan cannot go on.</summary>
public static class PlanBlockCodes
{
    /// <summary>The side proof showed left and right exchanged.</summary>
    public const string EarsSwapped = "ears-swapped";

    /// <summary>The ear was begun with another kind of transducer.</summary>
    public const string TransducerChanged = "transducer-changed";
}
