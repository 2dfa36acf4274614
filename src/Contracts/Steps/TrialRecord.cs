using System.Text.Json.Serialization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Contracts;

/// <summary>Whether a trial had a tone.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<TrialKind>))]
public enum TrialKind
{
    Tone,

    /// <summary>A silent interval that looks like a trial to the person; a response is a false response.</summary>
    Catch,
}

/// <summary>What a trial came to.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<TrialVerdict>))]
public enum TrialVerdict
{
    /// <summary>Response inside the window.</summary>
    Heard,

    /// <summary>No response inside the window.</summary>
    NotHeard,

    /// <summary>Response to a catch trial.</summary>
    FalseResponse,

    /// <summary>Catch trial without a response, as it should be.</summary>
    CorrectSilence,

    /// <summary>Counts for nothing; see the reason.</summary>
    Void,
}

/// <summary>Room noise in one band while one tone was presented.</summary>
/// <param name="BandHz">Nominal third-octave mid-band frequency in Hz.</param>
/// <param name="LevelDbSpl">Highest level in the presentation, dB re 20 µPa.</param>
/// <param name="LimitDbSpl">Limit for the level presented, dB re 20 µPa (ISO 8253-1:2010, 11.1).</param>
public sealed record TrialNoise(double BandHz, double LevelDbSpl, double LimitDbSpl);

/// <summary>One presentation with its evidence. Times are the kit's clock.</summary>
/// <param name="Number">Counts from 1 inside the step.</param>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="LevelDbHl">Level in dB HL; for a catch trial, the level the tone would have had.</param>
/// <param name="Kind">Tone or catch.</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="Ascending">Whether the search reached this level from below, so that a response counts.</param>
/// <param name="OnsetKitMs">Onset on the kit's clock, ms.</param>
/// <param name="DurationMs">Length in ms.</param>
/// <param name="Verdict">What it came to.</param>
/// <param name="ReactionMs">Response after onset in ms, if any.</param>
/// <param name="EarlyResponses">Presses in the silent interval before the tone.</param>
/// <param name="VoidReason">Why it is void, as a sentence.</param>
/// <param name="Noise">Room noise during the presentation in the bands that matter; empty only when the kit has no measurement microphone.</param>
public sealed record TrialRecord(
    int Number,
    Ear Ear,
    int FrequencyHz,
    double LevelDbHl,
    TrialKind Kind,
    ToneShape Shape,
    bool Ascending,
    double OnsetKitMs,
    double DurationMs,
    TrialVerdict Verdict,
    double? ReactionMs,
    int EarlyResponses,
    string? VoidReason,
    IReadOnlyList<TrialNoise> Noise)
{
    /// <summary>How the tone reached the ear.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public ConductionRoute Route { get; init; }

    /// <summary>Masker in the other ear, dB of effective masking; absent for none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? MaskerDbEm { get; init; }
}
