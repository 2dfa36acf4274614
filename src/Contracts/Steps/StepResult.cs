using System.Text.Json.Serialization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Noise;

namespace TeleHearing.Contracts;

/// <summary>How a step ended.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<StepEnding>))]
public enum StepEnding
{
    /// <summary>Carried out to its end. Thresholds found, if any, were reported before.</summary>
    Completed,

    /// <summary>Cut by the clinician; what was finished before stays.</summary>
    Cut,

    /// <summary>Broken off: stop pressed, lease lapsed, link or power lost. The running trial is void; what was finished before stays.</summary>
    Interrupted,

    /// <summary>The kit did not begin it.</summary>
    Refused,

    /// <summary>A fault of the gear.</summary>
    Failed,
}

/// <summary>What a completed step measured, beyond trials and thresholds.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "result")]
[JsonDerivedType(typeof(KitCheckResult), "kit-check")]
[JsonDerivedType(typeof(RoomResult), "room")]
[JsonDerivedType(typeof(SideProofResult), "side-proof")]
public abstract record StepResult;

/// <summary>One line of the kit's self-check.</summary>
/// <param name="Code">Stable code, e.g. "certificate", "serials", "output", "microphone", "clock", "disk", "protocol".</param>
/// <param name="Label">What was checked, in words.</param>
/// <param name="Passed">Whether it passed.</param>
/// <param name="Finding">What was found, e.g. certificate and its last valid day.</param>
/// <param name="Mend">What to do when it did not pass.</param>
public sealed record KitCheckLine(string Code, string Label, bool Passed, string Finding, string? Mend);

/// <summary>The kit's self-check.</summary>
public sealed record KitCheckResult(IReadOnlyList<KitCheckLine> Lines, GearUsed? Gear, DateOnly? CertificateValidUntil) : StepResult
{
    [JsonIgnore]
    public bool Passed => Lines.Count > 0 && Lines.All(line => line.Passed);
}

/// <summary>The room.</summary>
/// <param name="Bands">Energy average per third-octave band.</param>
/// <param name="HighestBands">Highest one-second level per band.</param>
/// <param name="LowestProvable">Lowest provable hearing level per frequency, from the energy average.</param>
/// <param name="DurationSeconds">Measuring time in s.</param>
public sealed record RoomResult(
    IReadOnlyList<BandLevel> Bands,
    IReadOnlyList<BandLevel> HighestBands,
    IReadOnlyList<LowestProvableLevel> LowestProvable,
    double DurationSeconds) : StepResult
{
    /// <summary>The published limits it was held against.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public NoiseCriterion Criterion { get; init; }

    /// <summary>Lowest provable hearing level per frequency by bone conduction, ears open; absent when the kit has no vibrator.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<LowestProvableLevel>? LowestProvableBone { get; init; }

    /// <summary>Why nothing was measured, as a sentence. Then there are no levels and no bounds, and nothing is claimed about the room.</summary>
    public string? NotMeasured { get; init; }
}

/// <summary>One trial of the side proof.</summary>
/// <param name="Played">Side that was played.</param>
/// <param name="Answered">Side the person named; absent when no answer came.</param>
public sealed record SideTrial(Ear Played, Ear? Answered);

/// <summary>The side proof.</summary>
public sealed record SideProofResult(IReadOnlyList<SideTrial> Trials) : StepResult
{
    [JsonIgnore]
    public bool Passed => Trials.Count > 0 && Trials.All(trial => trial.Answered == trial.Played);

    /// <summary>The only ear that answered, every tone of its own rightly, while at least two tones at the other went unanswered; absent when the answers were otherwise.</summary>
    /// <remarks>With earphones exchanged, tones meant for the deaf ear would reach the hearing one and be answered. That the earphone on the silent ear sounds at all is not shown by this.</remarks>
    [JsonIgnore]
    public Ear? OnlyAt => AnsweredOnly(Ear.Right) ? Ear.Right : AnsweredOnly(Ear.Left) ? Ear.Left : null;

    private bool AnsweredOnly(Ear ear) =>
        Trials.Count(trial => trial.Played == ear) >= FewestOfEach && Trials.Count(trial => trial.Played != ear) >= FewestOfEach
        && Trials.All(trial => trial.Answered == (trial.Played == ear ? ear : null));

    /// <summary>Fewest tones a side for <see cref="OnlyAt"/>: one unanswered tone can be a moment's inattention (design).</summary>
    private const int FewestOfEach = 2;
}
