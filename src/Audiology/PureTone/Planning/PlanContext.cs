using System.Text.Json.Serialization;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>What a plan depends on beside the protocol and the measurements.</summary>
/// <param name="Earphones">Kind of earphones in use.</param>
public sealed record PlanContext(TransducerKind Earphones)
{
    /// <summary>The better ear, as the person or an earlier test says; absent when not known.</summary>
    public Ear? BetterEar { get; init; }

    /// <summary>Age in whole years, from which estimates begin (ISO 7029:2017); absent when unknown, and where the protocol has no estimate. Never a date of birth.</summary>
    public int? AgeYears { get; init; }

    /// <summary>Sex, for the same; absent when unknown, and then the estimate begins from both sexes alike.</summary>
    public Sex? Sex { get; init; }

    /// <summary>Route of what the person wears now; absent when that is not known, as while it is being changed.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.Never)]
    public ConductionRoute? Fitted { get; init; } = ConductionRoute.Air;

    /// <summary>Ear under test by bone, in whose place the vibrator is plugged in (docs/decisions/0023), on a mastoid as on the forehead; absent by air.</summary>
    public Ear? VibratorSide { get; init; }

    /// <summary>Whether the side proof failed: left and right are exchanged, and nothing may be measured.</summary>
    public bool EarsSwapped { get; init; }

    /// <summary>What the kit can play (<see cref="PlayableLevels"/>); absent when that is not known, and then everything is taken to be playable. Hub and kit fill it in from the records each holds; it is not told.</summary>
    public IReadOnlyList<PlayableLevel>? Playable { get; init; }

    /// <summary>What the operator decided, in the order of deciding.</summary>
    public IReadOnlyList<PlanOverride> Overrides { get; init; } = [];

    /// <summary>The measurements that count: all but those of an ear and route that the operator began again.</summary>
    /// <param name="done">Everything measured, in order.</param>
    public IReadOnlyList<Measurement> Counting(IReadOnlyList<Measurement> done) =>
    [
        .. done.Where((one, index) => !Overrides.OfType<PlanOverride.BeginAgain>().Any(again => again.Ear == one.Ear && again.Route == one.Route && index < again.MeasurementsBefore)),
    ];

    /// <summary>Whether a frequency can be played.</summary>
    internal bool CanPlay(PlanPart part, int frequencyHz) => PlayableLevels.Reach(Playable, part, frequencyHz);

    /// <summary>Whether anything can be played by a route.</summary>
    internal bool CanPlayAny(ConductionRoute route) => Playable is null || Playable.Any(one => one.Route == route);
}

/// <summary>A frequency the kit can play.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Route">Route.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="HighestDbHl">Highest level, dB HL.</param>
public sealed record PlayableLevel(Ear Ear, ConductionRoute Route, int FrequencyHz, double HighestDbHl);

/// <summary>A decision of the operator about the plan. A closed set. Of two about the same thing the later counts.</summary>
/// <remarks>The discriminator strings are stored in event logs for good and are never renamed.</remarks>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "change")]
[JsonDerivedType(typeof(SkipPart), "skip-part")]
[JsonDerivedType(typeof(SkipFrequency), "skip-frequency")]
[JsonDerivedType(typeof(AddFrequency), "add-frequency")]
[JsonDerivedType(typeof(Repeat), "repeat")]
[JsonDerivedType(typeof(BeginAgain), "begin-again")]
[JsonDerivedType(typeof(TakeUp), "take-up")]
public abstract record PlanOverride
{
    private PlanOverride()
    {
    }

    /// <summary>Measure after all what was left out before.</summary>
    /// <param name="Part">Part.</param>
    /// <param name="FrequencyHz">Frequency in Hz that was left out; absent for the whole part.</param>
    public sealed record TakeUp(PlanPart Part, int? FrequencyHz) : PlanOverride;

    /// <summary>Leave a part out.</summary>
    public sealed record SkipPart(PlanPart Part) : PlanOverride;

    /// <summary>Leave a frequency of a part out.</summary>
    public sealed record SkipFrequency(PlanPart Part, int FrequencyHz) : PlanOverride;

    /// <summary>Add a frequency to a part; a masked one whatever the rules say.</summary>
    public sealed record AddFrequency(PlanPart Part, int FrequencyHz) : PlanOverride;

    /// <summary>Measure a frequency again, next of all.</summary>
    /// <param name="Part">Part.</param>
    /// <param name="FrequencyHz">Frequency in Hz.</param>
    /// <param name="MeasurementsBefore">How many measurements of any kind there were when the operator decided: a later one of this frequency is the repetition.</param>
    public sealed record Repeat(PlanPart Part, int FrequencyHz, int MeasurementsBefore) : PlanOverride;

    /// <summary>Begin a route of an ear again, with whatever transducer is on now. What was measured before stays on record but counts no more for the plan.</summary>
    /// <param name="Ear">Ear.</param>
    /// <param name="Route">Route.</param>
    /// <param name="MeasurementsBefore">How many measurements of any kind there were when the operator decided.</param>
    public sealed record BeginAgain(Ear Ear, ConductionRoute Route, int MeasurementsBefore) : PlanOverride;
}
