namespace TeleHearing.Logistics;

/// <summary>Something in what a person gave that keeps it from being used.</summary>
/// <param name="Field">Field or line it is about, as the program names it, or the empty text when the whole is meant.</param>
/// <param name="Sentence">What is wrong and what is wanted.</param>
public sealed record LogisticsFault(string Field, string Sentence)
{
    /// <summary>Field and sentence together, as a person reads them.</summary>
    public override string ToString() => Field.Length == 0 ? Sentence : $"{Field}: {Sentence}";
}
