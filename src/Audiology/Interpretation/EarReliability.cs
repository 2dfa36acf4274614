using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>How far the results of an ear can be relied on.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<EarVerdict>))]
public enum EarVerdict
{
    /// <summary>Nothing speaks against them.</summary>
    Accept,

    /// <summary>They hold, but for what the reasons name.</summary>
    AcceptWithLimits,

    /// <summary>They should be measured again before anything is decided by them.</summary>
    Repeat,
}

/// <summary>One reason of a judgement.</summary>
/// <param name="Code">Code of <see cref="ReliabilityCodes"/>.</param>
/// <param name="Weight">What it alone makes of the ear.</param>
/// <param name="FrequencyHz">Frequency in Hz; absent when the whole ear is meant.</param>
/// <param name="Sentence">The reason in plain words.</param>
public sealed record ReliabilityReason(string Code, EarVerdict Weight, int? FrequencyHz, string Sentence);

/// <summary>How far the results of one ear can be relied on, and why. It supports the clinician's judgement and does not replace it.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Verdict">The gravest of the reasons.</param>
/// <param name="Reasons">Reasons, the gravest first.</param>
public sealed record EarReliability(Ear Ear, EarVerdict Verdict, IReadOnlyList<ReliabilityReason> Reasons)
{
    /// <summary>Largest change between a threshold and its repeat, dB; absent when nothing was repeated.</summary>
    public double? RepeatDifferenceDb { get; init; }

    /// <summary>Silent trials.</summary>
    public int CatchTrials { get; init; }

    /// <summary>Responses to them.</summary>
    public int FalseResponses { get; init; }

    /// <summary>Presses in the silence before a tone.</summary>
    public int EarlyPresses { get; init; }

    /// <summary>Largest span of ascents at one frequency, dB.</summary>
    public double LargestSpanDb { get; init; }

    /// <summary>Tones presented.</summary>
    public int Tones { get; init; }

    /// <summary>Thresholds measured, repeats included.</summary>
    public int Measurements { get; init; }

    /// <summary>Length of the measurements in s.</summary>
    public double DurationSeconds { get; init; }

    /// <summary>Presentations spoiled by noise.</summary>
    public int NoiseVoids { get; init; }

    /// <inheritdoc />
    public bool Equals(EarReliability? other) => other is not null && Figures.Equals(other.Figures) && Reasons.SequenceEqual(other.Reasons);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(Ear, Verdict, Reasons.Count);

    private object Figures => (Ear, Verdict, RepeatDifferenceDb, (CatchTrials, FalseResponses, EarlyPresses), LargestSpanDb, (Tones, Measurements), DurationSeconds, NoiseVoids);
}

/// <summary>Codes of <see cref="ReliabilityReason"/>.</summary>
public static class ReliabilityCodes
{
    /// <summary>The answers fit a person who presses without cause better than a cooperative one.</summary>
    public const string PressesWithoutCause = "presses-without-cause";

    /// <summary>The answers scatter as those of a person without a steady criterion.</summary>
    public const string InconsistentAnswers = "inconsistent-answers";

    /// <summary>A repeat differs by 10 dB or more.</summary>
    public const string RepeatDiffers = "repeat-differs";

    /// <summary>More responses to silence than usual.</summary>
    public const string FalseResponses = "false-responses";

    /// <summary>Ascents ended at levels more than 10 dB apart.</summary>
    public const string WideSpan = "wide-span";

    /// <summary>Many tones were needed for a threshold.</summary>
    public const string ManyPresentations = "many-presentations";

    /// <summary>No threshold where one was looked for.</summary>
    public const string NoThreshold = "no-threshold";

    /// <summary>Room noise spoiled or hid something.</summary>
    public const string RoomNoise = "room-noise";

    /// <summary>A threshold that needs masking was not masked, or masking did not succeed.</summary>
    public const string MissingMasking = "missing-masking";

    /// <summary>Bone conduction is poorer than air conduction by more than 10 dB.</summary>
    public const string BonePoorerThanAir = "bone-poorer-than-air";

    /// <summary>A response by bone at a level that can be felt.</summary>
    public const string MayBeFelt = "may-be-felt";

    /// <summary>Nothing but estimates.</summary>
    public const string QuickLookOnly = "quick-look-only";

    /// <summary>The lowest level that is presented was heard.</summary>
    public const string LowestLevelHeard = "lowest-level-heard";

    /// <summary>Nothing was measured.</summary>
    public const string NothingMeasured = "nothing-measured";
}
