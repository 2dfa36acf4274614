namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Verdicts in words, the same everywhere.</summary>
internal static class VerdictWords
{
    /// <summary>All of them, in the order of the tables.</summary>
    public static IReadOnlyList<Verdict> Order { get; } = [Verdict.Kept, Verdict.NotKept, Verdict.NotJudged, Verdict.Information];

    /// <summary>The words.</summary>
    public static string Of(Verdict verdict) => verdict switch
    {
        Verdict.Kept => "kept",
        Verdict.NotKept => "not kept",
        Verdict.NotJudged => "not judged",
        _ => "for information",
    };

    /// <summary>What they mean.</summary>
    public static string Meaning(Verdict verdict) => verdict switch
    {
        Verdict.Kept => "the value lies within its limit.",
        Verdict.NotKept => "it does not, or what was played was not found in the recording.",
        Verdict.NotJudged => "there is a limit, but the recording cannot tell: its own noise is too strong there, or the value is the one the others are compared with.",
        _ => "no limit is known for it.",
    };
}
