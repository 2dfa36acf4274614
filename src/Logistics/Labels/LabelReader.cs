namespace TeleHearing.Logistics.Labels;

/// <summary>Reads what was scanned or typed: ours, somebody else's, or ours with a mistake, and which.</summary>
public static class LabelReader
{
    /// <summary>Longest text looked at, characters (design): codes of other tools can be long, ours are not.</summary>
    public const int LongestText = 200;

    /// <summary>Characters a text may have too many and still be taken for one of ours (design). As many as there are may be missing: somebody stopped typing.</summary>
    private const int MostExtra = 2;

    /// <summary>Separators a typed code may have (design).</summary>
    private const int MostSeparators = 12;

    private const int LongestBody = LabelCode.HeadLength + (2 * LabelCode.LongestName) + 1;

    private static readonly string[] _lookAlikes = ["0O", "0Q", "0D", "OQ", "OD", "1I", "1L", "IL", "2Z", "5S", "6G", "8B", "UV", "VY"];

    /// <summary>Reads a text. Nothing given is an error: whatever it is, there is an outcome.</summary>
    /// <param name="text">The text as it was scanned or typed; capitals, hyphens and blanks do not matter.</param>
    /// <param name="isKnown">Whether a code is of a kit or item that is there; suggestions are made of these alone. Absent, any code may be suggested, and one in some few is chance.</param>
    public static LabelReading Read(string? text, Func<LabelCode, bool>? isKnown = null)
    {
        if (text is not { Length: > 0 and <= LongestText } || string.IsNullOrWhiteSpace(text))
        {
            return Foreign();
        }

        var trimmed = text.Trim();
        if (LabelCode.Plain(trimmed) is not { } plain)
        {
            return IsMeantAsOurs(trimmed)
                ? Mistyped(LabelMistake.StrangeCharacter, null, "It has a character that is in no code of ours: they have the letters A to Z, digits and hyphens.")
                : Foreign();
        }

        if (!plain.StartsWith(LabelCode.Prefix, StringComparison.Ordinal))
        {
            return WithPrefixMended(plain);
        }

        var body = plain[LabelCode.Prefix.Length..];
        return Parsed(body) is { } code ? new LabelReading.Ours(code) : Mistaken(body, isKnown ?? (_ => true));
    }

    private static LabelCode? Parsed(string body)
    {
        if (Lengths(body) is not { } lengths || body.Length != Expected(lengths) || !CheckCharacter.IsRight(body))
        {
            return null;
        }

        var names = body[LabelCode.HeadLength..^1];
        var code = LabelCode.OfPlain(names[..lengths.Kit], names[lengths.Kit..]);

        // The code made anew must be the same in every character: that proves the guard, both lengths and the check at once.
        return code.Body == body ? code : null;
    }

    private static LabelReading Mistaken(string body, Func<LabelCode, bool> isKnown)
    {
        if (body.Length > LongestBody + MostExtra)
        {
            return Foreign();
        }

        // An exchange or a look-alike may be in the lengths themselves, so both are tried before the lengths are believed.
        var (exchanged, alike) = (Codes(Exchanges(body), isKnown), Codes(LookAlikes(body), isKnown));
        if (exchanged.Count + alike.Count == 1)
        {
            return exchanged.Count == 1
                ? Mistyped(LabelMistake.NeighboursExchanged, exchanged[0], $"Two neighbours are exchanged if {exchanged[0]} is meant. Compare it with the label.")
                : Mistyped(LabelMistake.LookAlike, alike[0], $"One character looks like another if {alike[0]} is meant. Compare it with the label.");
        }

        return Lengths(body) is { } lengths && body.Length - Expected(lengths) <= MostExtra
            ? (body.Length - Expected(lengths)) switch
            {
                < 0 and var missing => TooShort(-missing),
                > 0 and var extra => TooLong(extra),
                _ => CheckFails(),
            }
            : WithWrongHead(body);
    }

    // The head itself is wrong, so the lengths say nothing: is there a single slip that makes it right?
    private static LabelReading WithWrongHead(string body)
    {
        var all = Enumerable.Range(0, body.Length).ToList();
        if (all.Any(place => Parsed(body.Remove(place, 1)) is not null))
        {
            return TooLong(1);
        }

        if (all.Append(body.Length).Any(place => CheckCharacter.Alphabet.Any(character => Parsed(body.Insert(place, character.ToString())) is not null)))
        {
            return TooShort(1);
        }

        return all.Take(LabelCode.HeadLength).Any(place => CheckCharacter.Alphabet.Any(character => Parsed(Substituted(body, place, character)) is not null)) ? CheckFails() : Foreign();
    }

    private static LabelReading WithPrefixMended(string plain)
    {
        // Both exchanges that reach into the prefix, then one wrong character in it.
        for (var place = 0; place < LabelCode.Prefix.Length && place + 1 < plain.Length; place++)
        {
            if (AfterPrefix(LabelCode.Exchanged(plain, place)) is { } code)
            {
                return Mistyped(LabelMistake.NeighboursExchanged, code.Text, $"Two neighbours are exchanged if {code.Text} is meant. Compare it with the label.");
            }
        }

        for (var place = 0; place < LabelCode.Prefix.Length && place < plain.Length; place++)
        {
            if (AfterPrefix(Substituted(plain, place, LabelCode.Prefix[place])) is { } code)
            {
                return Mistyped(LabelMistake.CheckDoesNotFit, code.Text, $"It would be {code.Text} if it began with {LabelCode.Prefix}. Compare it with the label.");
            }
        }

        return Foreign();
    }

    private static LabelCode? AfterPrefix(string plain) =>
        plain.StartsWith(LabelCode.Prefix, StringComparison.Ordinal) ? Parsed(plain[LabelCode.Prefix.Length..]) : null;

    private static IEnumerable<string> Exchanges(string body) =>
        Enumerable.Range(0, Math.Max(0, body.Length - 1)).Where(place => body[place] != body[place + 1]).Select(place => LabelCode.Exchanged(body, place));

    private static IEnumerable<string> LookAlikes(string body) =>
        from place in Enumerable.Range(0, body.Length)
        from pair in _lookAlikes
        where pair.Contains(body[place], StringComparison.Ordinal)
        select Substituted(body, place, pair[0] == body[place] ? pair[1] : pair[0]);

    private static List<string> Codes(IEnumerable<string> bodies, Func<LabelCode, bool> isKnown) =>
        [.. bodies.Distinct().Select(Parsed).OfType<LabelCode>().Where(isKnown).Select(code => code.Text)];

    private static string Substituted(string body, int place, char character) => string.Concat(body.AsSpan(0, place), [character], body.AsSpan(place + 1));

    private static (int Kit, int Item)? Lengths(string body)
    {
        if (body.Length < LabelCode.HeadLength)
        {
            return null;
        }

        var kit = CheckCharacter.Alphabet.IndexOf(body[1], StringComparison.Ordinal);
        var item = CheckCharacter.Alphabet.IndexOf(body[2], StringComparison.Ordinal);
        return kit is >= 1 and <= LabelCode.LongestName && item is >= 0 and <= LabelCode.LongestName ? (kit, item) : null;
    }

    private static int Expected((int Kit, int Item) lengths) => LabelCode.HeadLength + lengths.Kit + lengths.Item + 1;

    // A text with a strange character cannot be taken apart, so it counts as ours by its look: the prefix, a hyphen, and the head of a code after it.
    private static bool IsMeantAsOurs(string text) =>
        text.Length <= LabelCode.Prefix.Length + LongestBody + MostSeparators
        && text.StartsWith(LabelCode.Prefix + "-", StringComparison.OrdinalIgnoreCase);

    private static LabelReading.Mistyped TooShort(int missing) =>
        Mistyped(LabelMistake.TooShort, null, $"It lacks {Characters(missing)}. Type it again, or scan it.");

    private static LabelReading.Mistyped TooLong(int extra) =>
        Mistyped(LabelMistake.TooLong, null, $"It has {Characters(extra)} too many. Type it again, or scan it.");

    private static LabelReading.Mistyped CheckFails() =>
        Mistyped(LabelMistake.CheckDoesNotFit, null, "A character is wrong; which one cannot be known. Type it again, or scan it.");

    private static string Characters(int count) => count == 1 ? "1 character" : $"{count} characters";

    private static LabelReading.Mistyped Mistyped(LabelMistake kind, string? suggestion, string sentence) => new(kind, suggestion, sentence);

    private static LabelReading.Foreign Foreign() => new("This is no label of a kit. Look for the label that begins with TH, or pick the kit from the list.");
}
