using TeleHearing.Contracts;

namespace TeleHearing.Hub.People.LookAlikes;

/// <summary>A person a session was ever planned for.</summary>
internal sealed record KnownPerson(string Reference, string Name, DateOnly BirthDate);

/// <summary>Finds people who might be taken for another. Pure. It warns and decides nothing: people who look alike are told apart by whoever asks them.</summary>
internal static class LookAlikeFinder
{
    /// <summary>Most that are shown (design).</summary>
    public const int MostShown = 12;

    /// <summary>Everybody of other references who is like a person: the most alike first.</summary>
    public static IReadOnlyList<LookAlikeView> Find(KnownPerson person, IEnumerable<KnownPerson> others)
    {
        var words = NameForm.Words(person.Name);
        return
        [
            .. others
                .Where(other => other.Reference != person.Reference)
                .Select(other => (Other: other, Names: NameLikeness.Of(words, NameForm.Words(other.Name)), Days: BirthDates.Compare(person.BirthDate, other.BirthDate)))
                .Where(found => Alike(found.Names, found.Days))
                .OrderByDescending(found => (2 * found.Names) + (found.Days switch { BirthDateNearness.Same => 1, BirthDateNearness.Far => 0, _ => 0.6 }))
                .ThenBy(found => found.Other.Reference, StringComparer.Ordinal)
                .Take(MostShown)
                .Select(found => new LookAlikeView(found.Other.Reference, found.Other.Name, found.Other.BirthDate, Why(found.Names, found.Days))),
        ];
    }

    // A birth date that is only near says nothing by itself: dozens of dates are near to any one.
    private static bool Alike(double names, BirthDateNearness days) =>
        names >= NameLikeness.Similar || days == BirthDateNearness.Same || (days != BirthDateNearness.Far && names >= NameLikeness.Somewhat);

    private static List<string> Why(double names, BirthDateNearness days)
    {
        var why = new List<string>();
        if (names >= 1)
        {
            why.Add("The name is the same, or a part of it.");
        }
        else if (names >= NameLikeness.Somewhat)
        {
            why.Add("The name is similar.");
        }

        if (days != BirthDateNearness.Far)
        {
            why.Add(days switch
            {
                BirthDateNearness.Same => "The date of birth is the same.",
                BirthDateNearness.OneDigit => "The date of birth differs in one digit.",
                BirthDateNearness.DigitsExchanged => "The date of birth has two digits exchanged.",
                _ => "The date of birth has day and month exchanged.",
            });
        }

        return why;
    }
}
