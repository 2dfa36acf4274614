using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Masking;

/// <summary>The threshold found with one level of the masker.</summary>
/// <param name="MaskerDbEm">Effective masking level in the other ear, dB EM.</param>
/// <param name="ToneDbHl">Lowest level heard with it, dB HL.</param>
public sealed record PlateauPoint(double MaskerDbEm, double ToneDbHl);

/// <summary>What masking came to. A closed set.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<MaskingVerdict>))]
public enum MaskingVerdict
{
    /// <summary>The threshold stood still while the masker rose: it is that of the ear under test.</summary>
    Plateau,

    /// <summary>The masker that is needed would itself mask the ear under test: there is no plateau to be found.</summary>
    Dilemma,

    /// <summary>The tone was not heard at the highest level allowed with a masker that keeps the other ear out.</summary>
    NoResponse,

    /// <summary>The masker would have had to be louder than allowed.</summary>
    MaskerAtLimit,

    /// <summary>It was broken off, or did not settle.</summary>
    NotSettled,
}

/// <summary>How the other ear was kept out of a measurement, with every point.</summary>
/// <param name="InitialDbEm">First level of the masker, dB EM.</param>
/// <param name="StepDb">Step of the masker, dB.</param>
/// <param name="Points">Points in the order in which they were found.</param>
/// <param name="Verdict">What it came to.</param>
/// <param name="Reason">Why, as a sentence.</param>
public sealed record MaskingEvidence(double InitialDbEm, double StepDb, IReadOnlyList<PlateauPoint> Points, MaskingVerdict Verdict, string Reason)
{
    /// <summary>What would solve it, when it was not solved.</summary>
    public string? Remedy { get; init; }

    /// <summary>Highest level of the masker with which the threshold still stood, dB EM; absent without a plateau.</summary>
    public double? FinalDbEm { get; init; }

    /// <inheritdoc />
    public bool Equals(MaskingEvidence? other) =>
        other is not null && (InitialDbEm, StepDb, Verdict, Reason, Remedy, FinalDbEm) == (other.InitialDbEm, other.StepDb, other.Verdict, other.Reason, other.Remedy, other.FinalDbEm)
        && Points.SequenceEqual(other.Points);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(InitialDbEm, StepDb, Verdict, Points.Count);
}
