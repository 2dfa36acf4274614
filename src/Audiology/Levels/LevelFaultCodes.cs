namespace TeleHearing.Audiology.Levels;

/// <summary>Codes of <see cref="LevelFault"/>. They are the refusal codes of the wire and are never renamed.</summary>
public static class LevelFaultCodes
{
    /// <summary>No calibration record, or none for this ear and frequency.</summary>
    public const string CalibrationMissing = "calibration.missing";

    /// <summary>The record is past its last valid day.</summary>
    public const string CalibrationExpired = "calibration.expired";

    /// <summary>The record belongs to other gear, or its coupler does not belong to the transducer.</summary>
    public const string CalibrationMismatch = "calibration.mismatch";

    /// <summary>The record holds values that cannot be right.</summary>
    public const string CalibrationInvalid = "calibration.invalid";

    /// <summary>Level or duration over a ceiling.</summary>
    public const string OverCeiling = "level.over-ceiling";

    /// <summary>The level is loud and was not confirmed.</summary>
    public const string LoudNotConfirmed = "level.loud-not-confirmed";

    /// <summary>The level rises too far above the one before.</summary>
    public const string RiseTooSteep = "level.rise-too-steep";
}
