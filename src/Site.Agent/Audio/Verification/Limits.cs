namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>The published limits, of IEC 60645-1:2017 and ANSI S3.6, with how sure they are.</summary>
internal static class Limits
{
    /// <summary>Both standards name it; read where quoted in the error budget of ISO 8253-1, Annex A.</summary>
    public const string Quoted = "IEC 60645-1, as quoted in ISO 8253-1, Annex A";

    /// <summary>Known from memory only; to be checked against the bought standard.</summary>
    public const string Memory = "IEC 60645-1 and ANSI S3.6, from memory";

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

    /// <summary>Deviation and rate of a warble: 5 to 25 % and 4 to 20 Hz, with a tenth for the setting (from memory).</summary>
    public const double NarrowestWarblePercent = 4.5;

    /// <inheritdoc cref="NarrowestWarblePercent"/>
    public const double WidestWarblePercent = 27.5;

    /// <inheritdoc cref="NarrowestWarblePercent"/>
    public const double SlowestWarbleHz = 3.6;

    /// <inheritdoc cref="NarrowestWarblePercent"/>
    public const double FastestWarbleHz = 22;
    public const double NarrowestBandOctaves = 1.0 / 3;
    public const double WidestBandOctaves = 0.5;
    public const double MaskerBelowDb = 3;
    public const double MaskerAboveDb = 5;
    public const double FloorUnderThresholdDb = 10;

    /// <summary>Highest frequency of the tighter level limit, Hz.</summary>
    public const double TightUntilHz = 4000;

    /// <summary>Level accuracy by air, dB.</summary>
    public static double LevelDb(double hertz) => hertz <= TightUntilHz ? 3 : 5;

    /// <summary>By how much a step between neighbouring settings may be off, dB.</summary>
    public static double StepDb(double stepDb) => Math.Min(0.3 * stepDb, 1);
}
