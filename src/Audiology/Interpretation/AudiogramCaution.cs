namespace TeleHearing.Audiology.Interpretation;

/// <summary>A reason to read a point of an audiogram with care.</summary>
/// <param name="Code">One of <see cref="AudiogramCautionCodes"/>.</param>
/// <param name="Ear">Ear of the point.</param>
/// <param name="FrequencyHz">Frequency of the point in Hz.</param>
/// <param name="Sentence">What to be careful of, for the clinician.</param>
public sealed record AudiogramCaution(string Code, Ear Ear, int FrequencyHz, string Sentence);

/// <summary>Codes of <see cref="AudiogramCaution"/>; stored, never renamed.</summary>
public static class AudiogramCautionCodes
{
    /// <summary>The other ear may have heard the tone.</summary>
    public const string PossibleCrossHearing = "possible-cross-hearing";
}
