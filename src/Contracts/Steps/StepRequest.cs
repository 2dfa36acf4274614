using System.Text.Json.Serialization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Contracts;

/// <summary>What the hub asks a kit to carry out. The procedure inside a step runs on the kit.</summary>
/// <remarks>The discriminators are stored in event logs for good.</remarks>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "step")]
[JsonDerivedType(typeof(CheckKitStep), "check-kit")]
[JsonDerivedType(typeof(MeasureRoomStep), "measure-room")]
[JsonDerivedType(typeof(ProveSidesStep), "prove-sides")]
[JsonDerivedType(typeof(PresentToneStep), "present-tone")]
[JsonDerivedType(typeof(SearchThresholdStep), "search-threshold")]
[JsonDerivedType(typeof(SearchEarStep), "search-ear")]
[JsonDerivedType(typeof(WearGearStep), "wear-gear")]
[JsonDerivedType(typeof(MeasurePartStep), "measure-part")]
public abstract record StepRequest
{
    /// <summary>Whether the step can put sound in an ear, so that a lease is owed while it runs.</summary>
    [JsonIgnore]
    public abstract bool MakesSound { get; }
}

/// <summary>Check certificate, serial numbers, sound devices, clock and disk.</summary>
public sealed record CheckKitStep : StepRequest
{
    public override bool MakesSound => false;
}

/// <summary>Measure the room's third-octave levels.</summary>
/// <param name="DurationSeconds">Measuring time, 1 to 60 s; at least 10 s is usual (common practice).</param>
public sealed record MeasureRoomStep(double DurationSeconds) : StepRequest
{
    /// <summary>The published limits to hold it against; ISO 8253 unless another is asked for.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public NoiseCriterion Criterion { get; init; }

    public override bool MakesSound => false;
}

/// <summary>Play clear tones left and right in random order; the person says which side. All must be right.</summary>
/// <param name="TrialCount">Number of tones, 4 to 12.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="LevelDbHl">A clear level in dB HL.</param>
public sealed record ProveSidesStep(int TrialCount, int FrequencyHz, double LevelDbHl) : StepRequest
{
    /// <summary>Length of each tone, ms (design).</summary>
    public const double ToneMs = 1200;

    public override bool MakesSound => true;
}

/// <summary>One presentation by hand.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="LevelDbHl">Level in dB HL.</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Length in ms, 200 to 10 000; 1 to 2 s is usual (ISO 8253-1).</param>
public sealed record PresentToneStep(Ear Ear, int FrequencyHz, double LevelDbHl, ToneShape Shape, int DurationMs) : StepRequest
{
    /// <summary>How the tone reaches the ear.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public ConductionRoute Route { get; init; }

    /// <summary>Masker in the other ear, dB of effective masking, from before the tone until the time for answers is over; absent for none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? MaskerDbEm { get; init; }

    public override bool MakesSound => true;
}

/// <summary>Search one threshold.</summary>
public sealed record SearchThresholdStep(Ear Ear, int FrequencyHz, StoppingRule Rule, ToneShape Shape) : StepRequest
{
    /// <summary>How the tone reaches the ear.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public ConductionRoute Route { get; init; }

    /// <summary>Find the plateau with a masker in the other ear.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public bool Masked { get; init; }

    /// <summary>Everything measured in the session so far, from which a masked search takes its levels; filled in by the hub, whatever was asked.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<Measurement>? Known { get; init; }

    /// <summary>Name of the rule set in force, which bounds the masker; filled in by the hub, absent for the usual one.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? MaskingRules { get; init; }

    public override bool MakesSound => true;
}

/// <summary>Search several thresholds of one ear in the order given.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequenciesHz">Audiometric frequencies in Hz in the order to test; a repeated frequency is a retest.</param>
/// <param name="Rule">Stopping rule.</param>
/// <param name="Shape">Steady or pulsed.</param>
public sealed record SearchEarStep(Ear Ear, IReadOnlyList<int> FrequenciesHz, StoppingRule Rule, ToneShape Shape) : StepRequest
{
    public override bool MakesSound => true;

    public bool Equals(SearchEarStep? other) =>
        other is not null && Ear == other.Ear && Rule == other.Rule && Shape == other.Shape && FrequenciesHz.SequenceEqual(other.FrequenciesHz);

    public override int GetHashCode() => HashCode.Combine(Ear, Rule, Shape, FrequenciesHz.Count);
}

/// <summary>Measure a part of an audiogram as the session's protocol says: one ear, one route, with or without a masker, every frequency of it in one go.</summary>
/// <param name="Part">Part. What comes next inside it the kit works out by the same planner as the hub, so that nothing waits for the network between two thresholds.</param>
public sealed record MeasurePartStep(PlanPart Part) : StepRequest
{
    /// <summary>Protocol of the session; filled in by the hub, whatever was asked.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public TestProtocol? Protocol { get; init; }

    /// <summary>Everything measured in the session so far, in order; filled in by the hub, whatever was asked.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<Measurement>? Known { get; init; }

    /// <summary>What the plan depends on besides; filled in by the hub, whatever was asked.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public PlanContext? Context { get; init; }

    public override bool MakesSound => true;
}

/// <summary>Have the assistant change what the person wears. It completes when the kit's screen is told that it is done; until then the kit makes no sound.</summary>
/// <param name="Route">By air: earphones on both ears. By bone: the vibrator at this place, and the earphone of the other ear for a masker.</param>
/// <param name="Ear">Ear to be tested by bone, which stays open; absent by air.</param>
public sealed record WearGearStep(ConductionRoute Route, Ear? Ear) : StepRequest
{
    /// <summary>How long the change may take, minutes: unhurried, and a call for help in between.</summary>
    public const int LongestMinutes = 10;

    public override bool MakesSound => false;
}
