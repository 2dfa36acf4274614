namespace TeleHearing.Hub.People.LookAlikes;

/// <summary>Likeness of two names: each word of the shorter one beside the word of the other it is most like, without using one twice.</summary>
internal static class NameLikeness
{
    /// <summary>Likeness from which two names are said to be similar (design): one letter other in a short first name beside the same family name is above it, two unlike first names are below.</summary>
    public const double Similar = 0.9;

    /// <summary>Likeness from which names count beside a birth date that is nearly the same (design).</summary>
    public const double Somewhat = 0.8;

    /// <summary>Likeness of an initial to a word that begins with it (design).</summary>
    private const double OfInitial = 0.9;

    /// <summary>From 0 to 1; the same in either order, and in whatever order the words of a name stand.</summary>
    public static double Of(string one, string other) => Of(NameForm.Words(one), NameForm.Words(other));

    /// <summary>As <see cref="Of(string, string)"/>, of words in the form in which they are compared.</summary>
    public static double Of(IReadOnlyList<string> one, IReadOnlyList<string> other)
    {
        var (few, many) = one.Count <= other.Count ? (one, other) : (other, one);
        return few.Count == 0 ? 0 : Best(few, many, 0, 0) / few.Count;
    }

    // Names have few words: all ways of putting them side by side are looked at.
    private static double Best(IReadOnlyList<string> few, IReadOnlyList<string> many, int at, int used)
    {
        if (at == few.Count)
        {
            return 0;
        }

        var best = 0.0;
        for (var beside = 0; beside < many.Count; beside++)
        {
            if ((used & (1 << beside)) == 0)
            {
                best = Math.Max(best, Word(few[at], many[beside]) + Best(few, many, at + 1, used | (1 << beside)));
            }
        }

        return best;
    }

    private static double Word(string one, string other) =>
        one.Length != other.Length && (one.Length == 1 || other.Length == 1) ? (one[0] == other[0] ? OfInitial : 0) : JaroWinkler.Likeness(one, other);
}
