using System.Text.Json.Serialization;
using TeleHearing.Audiology;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What came of one thing measured.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Verdict>))]
internal enum Verdict
{
    Kept,
    NotKept,

    /// <summary>There is a limit, but the recording's own noise hides whether it is kept, or the reading is the reference of the others.</summary>
    NotJudged,

    /// <summary>No limit is known for it.</summary>
    Information,
}

/// <summary>One thing measured.</summary>
/// <param name="Topic">What it is about; one of <see cref="Topics"/>.</param>
/// <param name="Ear">Ear it was played to.</param>
/// <param name="Hertz">Frequency in Hz; absent where there is none.</param>
/// <param name="Detail">Which part of the sound, e.g. "pulse 2"; empty where it is the whole.</param>
/// <param name="SetDb">Level set; absent where it does not matter or, with a calibration, where it is none of its levels.</param>
/// <param name="SetUnit">Unit of the level set; empty without one.</param>
/// <param name="Measured">What was measured; absent when nothing could be.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Limit">The limit in words; empty without one.</param>
/// <param name="Source">Where the limit is from; empty without one.</param>
/// <param name="Verdict">Whether it is kept.</param>
internal sealed record Finding(
    string Topic,
    Ear Ear,
    double? Hertz,
    string Detail,
    double? SetDb,
    string SetUnit,
    double? Measured,
    string Unit,
    string Limit,
    string Source,
    Verdict Verdict);
