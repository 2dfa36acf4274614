using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>What comes next while a masked threshold is being found.</summary>
/// <param name="ToneDbHl">Tone, dB HL.</param>
/// <param name="MaskerDbEm">Masker in the other ear, dB EM.</param>
/// <param name="Reason">Why, as a sentence; absent when it need not be told.</param>
public sealed record PlateauMove(double ToneDbHl, double MaskerDbEm, string? Reason = null);

/// <summary>A masked threshold and how it was, or is being, found: the tone against the masker. For the operator's screen and for reports, never for a screen the person tested can see.</summary>
/// <param name="Title">Short title, read first by a screen reader.</param>
/// <param name="Ear">Ear under test; the masker is in the other.</param>
/// <param name="Route">Route of the tone.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="Points">Points so far, in the order in which they were found. One that is not a number is left out.</param>
public sealed record MaskingPlateau(string Title, Ear Ear, ConductionRoute Route, int FrequencyHz, IReadOnlyList<PlateauPoint> Points)
{
    /// <summary>Threshold found without a masker, dB HL, if known.</summary>
    public double? UnmaskedDbHl { get; init; }

    /// <summary>Least masker that keeps the other ear out by the formulas, dB EM, if known.</summary>
    public double? MinimumDbEm { get; init; }

    /// <summary>Level above which the masker may reach the ear under test, dB EM, if known.</summary>
    public double? OverMaskingFromDbEm { get; init; }

    /// <summary>Rise of the masker over which the tone must stand still, dB (Hood 1960; 15 dB is common).</summary>
    public double AcceptRiseDb { get; init; } = 15;

    /// <summary>What the measurement came to, once it is over.</summary>
    public ThresholdOutcome? Outcome { get; init; }

    /// <summary>What masking came to; absent while it is going on.</summary>
    public MaskingVerdict? Verdict { get; init; }

    /// <summary>Why, as a sentence.</summary>
    public string? Reason { get; init; }

    /// <summary>What would solve it.</summary>
    public string? Remedy { get; init; }

    /// <summary>Highest masker with which the threshold still stood, dB EM.</summary>
    public double? FinalDbEm { get; init; }

    /// <summary>What comes next, while it is going on.</summary>
    public PlateauMove? Next { get; init; }

    /// <summary>Start of the element ids, so that two charts can stand on one page. Letters, digits and hyphens.</summary>
    public string IdPrefix { get; init; } = "masking-plateau";

    /// <summary>The chart of a finished measurement.</summary>
    /// <param name="title">Short title.</param>
    /// <param name="measurement">Measurement.</param>
    /// <exception cref="ArgumentException">It was not masked.</exception>
    public static MaskingPlateau Of(string title, Measurement measurement)
    {
        var masking = measurement.Masking ?? throw new ArgumentException("The measurement was not masked, so there is no plateau to draw.", nameof(measurement));
        return new MaskingPlateau(title, measurement.Ear, measurement.Route, measurement.FrequencyHz, masking.Points)
        {
            Outcome = measurement.Outcome,
            Verdict = masking.Verdict,
            Reason = masking.Reason,
            Remedy = masking.Remedy,
            FinalDbEm = masking.FinalDbEm,
        };
    }
}
