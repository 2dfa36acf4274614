namespace TeleHearing.Logistics.Labels;

/// <summary>The code on a label of a kit or of an item in it: plain text that can be printed, scanned or typed.</summary>
/// <remarks>
/// Written in groups, "TH-054-KIT03-TIPS-C": the two letters of this tool; a guard character and the lengths of both names; the kit; the item, left out on the kit's own
/// label; a check character over all after the first group. Capital letters, digits and hyphens alone, which the alphanumeric mode of a QR code holds. Hyphens and blanks are for
/// reading and count for nothing, in names too: "kit-03" and "KIT03" have the same label, and whoever names kits must not use both.
/// The guard is the first character with which the check finds the exchange of any two unequal neighbours of this very code, which the check alone does not always.
/// Nothing in it says anything about a person.
/// </remarks>
public sealed record LabelCode
{
    /// <summary>What every code begins with.</summary>
    public const string Prefix = "TH";

    /// <summary>Longest name of a kit or item, letters and digits (design).</summary>
    public const int LongestName = 16;

    /// <summary>Guard and the two lengths.</summary>
    internal const int HeadLength = 3;

    private const string Separators = "-_. /";

    private LabelCode(string kit, string item, string body) => (Kit, Item, Body) = (kit, item.Length == 0 ? null : item, body);

    /// <summary>Name of the kit, as capital letters and digits.</summary>
    public string Kit { get; }

    /// <summary>Name of the item within the kit, the same way; absent on the label of the kit.</summary>
    public string? Item { get; }

    /// <summary>All after the prefix, without separators.</summary>
    internal string Body { get; }

    /// <summary>The code as it is printed and put into a QR code.</summary>
    public string Text => string.Join('-', new[] { Prefix, Body[..HeadLength], Kit, Item, Body[^1..] }.Where(group => group is not null));

    /// <summary>What keeps a kit and an item from having a label, at once.</summary>
    /// <param name="kit">Name of the kit.</param>
    /// <param name="item">Name of the item; absent for the kit's own label.</param>
    public static IReadOnlyList<LogisticsFault> Faults(string? kit, string? item)
    {
        var faults = new List<LogisticsFault>();
        Check(nameof(kit), kit);
        if (item is not null)
        {
            Check(nameof(item), item);
        }

        return faults;

        void Check(string field, string? name)
        {
            if (Plain(name) is not { Length: > 0 and <= LongestName })
            {
                faults.Add(new(field, $"A label holds a name of 1 to {LongestName} letters A to Z and digits; hyphens, points and blanks are left out."));
            }
        }
    }

    /// <summary>Makes the code of a kit or an item.</summary>
    /// <param name="kit">Name of the kit.</param>
    /// <param name="item">Name of the item; absent for the kit's own label.</param>
    /// <exception cref="ArgumentException">A name cannot be on a label.</exception>
    public static LabelCode Of(string kit, string? item)
    {
        var faults = Faults(kit, item);
        return faults.Count == 0
            ? OfPlain(Plain(kit)!, item is null ? string.Empty : Plain(item)!)
            : throw new ArgumentException(string.Join(" ", faults), faults[0].Field);
    }

    /// <summary>A name as a label holds it: capital letters and digits, without separators; absent when it has any other character.</summary>
    public static string? Plain(string? name)
    {
        if (name is null)
        {
            return null;
        }

        var plain = string.Concat(name.Where(character => !Separators.Contains(character, StringComparison.Ordinal)).Select(Capital));
        return plain.All(CheckCharacter.Alphabet.Contains) ? plain : null;
    }

    /// <summary>Whether this code names a kit, however its name is written.</summary>
    public bool IsOf(string kit) => Plain(kit) == Kit;

    internal static LabelCode OfPlain(string kit, string item)
    {
        foreach (var guard in CheckCharacter.Alphabet)
        {
            var body = $"{guard}{CheckCharacter.Alphabet[kit.Length]}{CheckCharacter.Alphabet[item.Length]}{kit}{item}";
            body += CheckCharacter.Of(body);
            if (FindsEveryExchange(body))
            {
                return new LabelCode(kit, item, body);
            }
        }

        throw new InvalidOperationException($"No guard character protects the label of {kit} {item}. Choose another name.");
    }

    private static bool FindsEveryExchange(string body)
    {
        for (var i = 0; i + 1 < body.Length; i++)
        {
            if (body[i] != body[i + 1] && CheckCharacter.IsRight(Exchanged(body, i)))
            {
                return false;
            }
        }

        return true;
    }

    internal static string Exchanged(string text, int place) => string.Concat(text.AsSpan(0, place), [text[place + 1], text[place]], text.AsSpan(place + 2));

    // Only the letters of the alphabet are raised: other scripts have characters whose capital is one of ours.
    private static char Capital(char character) => character is >= 'a' and <= 'z' ? (char)(character - 'a' + 'A') : character;
}
