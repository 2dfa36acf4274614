namespace TeleHearing.Hub.People.LookAlikes;

/// <summary>Likeness of two words by Jaro (1989) with Winkler's weight for a common beginning (W. E. Winkler, "String Comparator Metrics and Enhanced Decision Rules in the Fellegi-Sunter Model of Record Linkage", 1990).</summary>
internal static class JaroWinkler
{
    /// <summary>Weight of each letter of a common beginning (Winkler 1990).</summary>
    private const double BeginningWeight = 0.1;

    /// <summary>Most letters of a common beginning that count (Winkler 1990).</summary>
    private const int MostBeginning = 4;

    /// <summary>From 0, nothing in common, to 1, the same. The same in either order.</summary>
    public static double Likeness(string one, string other)
    {
        if (one == other)
        {
            return 1;
        }

        // The matching takes letters greedily, so which word comes first can matter in rare cases: both ways are tried.
        var jaro = Math.Max(Jaro(one, other), Jaro(other, one));
        var beginning = one.Zip(other).Take(MostBeginning).TakeWhile(pair => pair.First == pair.Second).Count();
        return jaro + (beginning * BeginningWeight * (1 - jaro));
    }

    private static double Jaro(string one, string other)
    {
        if (one.Length == 0 || other.Length == 0)
        {
            return 0;
        }

        // Letters match when they are the same and stand no farther apart than half the longer word.
        var reach = Math.Max(0, (Math.Max(one.Length, other.Length) / 2) - 1);
        var taken = new bool[other.Length];
        var ofOne = new List<char>();
        for (var at = 0; at < one.Length; at++)
        {
            for (var beside = Math.Max(0, at - reach); beside <= Math.Min(other.Length - 1, at + reach); beside++)
            {
                if (!taken[beside] && one[at] == other[beside])
                {
                    taken[beside] = true;
                    ofOne.Add(one[at]);
                    break;
                }
            }
        }

        if (ofOne.Count == 0)
        {
            return 0;
        }

        var ofOther = other.Where((_, index) => taken[index]).ToList();
        double matches = ofOne.Count;
        var halfTranspositions = ofOne.Zip(ofOther).Count(pair => pair.First != pair.Second);
        return ((matches / one.Length) + (matches / other.Length) + ((matches - (halfTranspositions / 2.0)) / matches)) / 3;
    }
}
