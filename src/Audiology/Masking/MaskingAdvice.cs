using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Masking;

/// <summary>One trial of a masked measurement done by hand.</summary>
/// <param name="MaskerDbEm">Masker in the other ear, dB EM.</param>
/// <param name="ToneDbHl">Tone, dB HL.</param>
/// <param name="Heard">Whether the person responded.</param>
public sealed record MaskedTrial(double MaskerDbEm, double ToneDbHl, bool Heard);

/// <summary>Where a masked measurement stands.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<PlateauState>))]
public enum PlateauState
{
    /// <summary>Nothing presented yet.</summary>
    Beginning,

    /// <summary>The threshold at this level of the masker is not decided yet.</summary>
    Searching,

    /// <summary>The threshold rises with the masker: the other ear may still answer.</summary>
    Rising,

    /// <summary>The threshold has stood still, but not over the whole rise yet.</summary>
    Standing,

    /// <summary>A plateau: the threshold may be taken down.</summary>
    Plateau,

    /// <summary>No plateau can be found with this gear.</summary>
    Dilemma,

    /// <summary>No response at the highest level of the tone.</summary>
    NoResponse,

    /// <summary>The masker would have to be louder than allowed.</summary>
    MaskerAtLimit,
}

/// <summary>Advice on the next move of a masked measurement done by hand. The clinician decides.</summary>
/// <param name="State">Where it stands.</param>
/// <param name="ToneDbHl">Tone to present next, dB HL; in <see cref="PlateauState.Plateau"/> the threshold; absent when there is no next.</param>
/// <param name="MaskerDbEm">Masker to present it with, dB EM; absent when there is no next.</param>
/// <param name="Sentence">What to do and why.</param>
/// <param name="Points">The curve so far, one point for each level of the masker, rising.</param>
/// <param name="Remedy">What would solve it, where it is not solved.</param>
public sealed record MaskingAdvice(
    PlateauState State,
    double? ToneDbHl,
    double? MaskerDbEm,
    string Sentence,
    IReadOnlyList<PlateauPoint> Points,
    string? Remedy = null);
