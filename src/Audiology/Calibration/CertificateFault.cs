namespace TeleHearing.Audiology.Calibration;

/// <summary>Something in a certificate file that keeps it from being used.</summary>
/// <param name="Line">Line, from 1; absent when it is about something that is in no line.</param>
/// <param name="Column">Column or field, or the empty text when the whole line or file is meant.</param>
/// <param name="Sentence">What is wrong and what is wanted.</param>
public sealed record CertificateFault(int? Line, string Column, string Sentence)
{
    /// <summary>Place and sentence together, as a person reads them.</summary>
    public override string ToString() => (Line, Column.Length) switch
    {
        (null, 0) => Sentence,
        (null, _) => $"{Column}: {Sentence}",
        (_, 0) => $"line {Line}: {Sentence}",
        _ => $"line {Line}, {Column}: {Sentence}",
    };
}
