using System.Text.Json.Serialization;
using TeleHearing.Audiology;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What came of one thing measured.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Verdict>))]
internal enum Verdict
{
    Pass,
    Fail,

    /// <summary>Told, not judged: there is no limit for it, or the recording's own noise hides it.</summary>
    Told,
}

/// <summary>One thing measured.</summary>
/// <param name="Topic">What it is about.</param>
/// <param name="Ear">Ear it was played to.</param>
/// <param name="Hertz">Frequency in Hz; absent where there is none.</param>
/// <param name="SetDb">Level set: dB HL with a calibration, dB of digital full scale without; absent where it does not matter.</param>
/// <param name="Measured">What was measured; absent when nothing could be.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Limit">The limit in words.</param>
/// <param name="Source">Where the limit is from.</param>
/// <param name="Verdict">Whether it is kept.</param>
internal sealed record Finding(string Topic, Ear Ear, double? Hertz, double? SetDb, double? Measured, string Unit, string Limit, string Source, Verdict Verdict);

/// <summary>The published limits, of IEC 60645-1:2017 and ANSI S3.6, with how sure they are.</summary>
internal static class Limits
{
    /// <summary>Both standards name it; read where quoted in the error budget of ISO 8253-1, Annex A.</summary>
    public const string Quoted = "IEC 60645-1, as quoted in ISO 8253-1 Annex A";

    /// <summary>Known from memory only; to be checked against the bought standard.</summary>
    public const string Memory = "IEC 60645-1 / ANSI S3.6, from memory";

    /// <summary>No standard asks for it.</summary>
    public const string None = "none";
    public const double FrequencyPercent = 1;
    public const double HarmonicPercent = 2.5;
    public const double ShortestRampMs = 20;
    public const double LongestFallMs = 200;
    public const double LongestPulseRampMs = 50;
    public const double OvershootDb = 1;
    public const double PulseMs = 225;
    public const double PulseToleranceMs = 35;
    public const double ShortestPlateauMs = 150;
    public const double OffPhaseDb = -20;
    public const double CrosstalkDb = -70;
    public const double WarbleCarrierPercent = 3;
    public const double MaskerBelowDb = 3;
    public const double MaskerAboveDb = 5;
    public const double FloorUnderThresholdDb = 10;

    /// <summary>Highest frequency of the tighter level limit, Hz.</summary>
    private const double TightUntilHz = 4000;

    /// <summary>Level accuracy by air, dB.</summary>
    public static double LevelDb(double hertz) => hertz <= TightUntilHz ? 3 : 5;

    /// <summary>By how much a step between neighbouring settings may be off, dB.</summary>
    public static double StepDb(double stepDb) => Math.Min(0.3 * stepDb, 1);
}
