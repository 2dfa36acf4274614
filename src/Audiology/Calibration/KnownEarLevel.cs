using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Calibration;

/// <summary>A threshold of a known person, measured with a kit.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="LevelDbHl">Threshold in dB HL.</param>
public sealed record KnownEarLevel(Ear Ear, int FrequencyHz, double LevelDbHl);

/// <summary>A threshold of a known person beside that person's own baseline with the same kit.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="BaselineDbHl">Threshold when the kit was known to be right, dB HL.</param>
/// <param name="LevelDbHl">Threshold now, dB HL.</param>
public sealed record KnownEarShift(Ear Ear, int FrequencyHz, double BaselineDbHl, double LevelDbHl)
{
    /// <summary>By how much the threshold is higher than the baseline, dB: the kit gives that much less sound, or the person hears that much less.</summary>
    [JsonIgnore]
    public double ShiftDb => LevelDbHl - BaselineDbHl;
}

/// <summary>What a known-ear check says about the kit.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<KnownEarVerdict>))]
public enum KnownEarVerdict
{
    /// <summary>No threshold has moved by 10 dB or more.</summary>
    Passed,

    /// <summary>A threshold has moved by 10 dB or more: the kit needs an acoustic calibration before it is used.</summary>
    CalibrationNeeded,

    /// <summary>A threshold has moved by 15 dB or more: the kit needs an exhaustive calibration before it is used.</summary>
    ExhaustiveNeeded,
}
