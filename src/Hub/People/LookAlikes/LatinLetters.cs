using System.Collections.Frozen;

namespace TeleHearing.Hub.People.LookAlikes;

/// <summary>Small Latin letters with marks, and what they are without. The hub runs without the system's language data, where a text is not taken apart by the framework.</summary>
internal static class LatinLetters
{
    // Canonical decompositions of the Unicode Character Database (Unicode 15) of the blocks Latin-1 Supplement, Latin Extended-A and -B, and Latin Extended Additional, as far as they lead to a letter of ASCII.
    private static readonly Dictionary<char, string> _marked = new()
    {
        ['a'] = "àáâãäåāăąǎǟǡǻȁȃȧḁạảấầẩẫậắằẳẵặ",
        ['b'] = "ḃḅḇ",
        ['c'] = "çćĉċčḉ",
        ['d'] = "ďḋḍḏḑḓ",
        ['e'] = "èéêëēĕėęěȅȇȩḕḗḙḛḝẹẻẽếềểễệ",
        ['f'] = "ḟ",
        ['g'] = "ĝğġģǧǵḡ",
        ['h'] = "ĥȟḣḥḧḩḫẖ",
        ['i'] = "ìíîïĩīĭįǐȉȋḭḯỉị",
        ['j'] = "ĵǰ",
        ['k'] = "ķǩḱḳḵ",
        ['l'] = "ĺļľḷḹḻḽ",
        ['m'] = "ḿṁṃ",
        ['n'] = "ñńņňǹṅṇṉṋ",
        ['o'] = "òóôõöōŏőơǒǫǭȍȏȫȭȯȱṍṏṑṓọỏốồổỗộớờởỡợ",
        ['p'] = "ṕṗ",
        ['r'] = "ŕŗřȑȓṙṛṝṟ",
        ['s'] = "śŝşšșṡṣṥṧṩ",
        ['t'] = "ţťțṫṭṯṱẗ",
        ['u'] = "ùúûüũūŭůűųưǔǖǘǚǜȕȗṳṵṷṹṻụủứừửữự",
        ['v'] = "ṽṿ",
        ['w'] = "ŵẁẃẅẇẉẘ",
        ['x'] = "ẋẍ",
        ['y'] = "ýÿŷȳẏẙỳỵỷỹ",
        ['z'] = "źżžẑẓẕ",
    };

    // Letters that Unicode does not take apart. Spellings as in the machine-readable zone of passports, ICAO Doc 9303 part 3 section 6 A (from memory), where one is given there.
    private static readonly Dictionary<char, string> _spelt = new()
    {
        ['ß'] = "ss",
        ['æ'] = "ae",
        ['œ'] = "oe",
        ['ø'] = "o",
        ['ł'] = "l",
        ['đ'] = "d",
        ['ð'] = "d",
        ['þ'] = "th",
        ['ħ'] = "h",
        ['ı'] = "i",
        ['ŋ'] = "n",
    };

    private static readonly FrozenDictionary<char, string> _plain = _marked
        .SelectMany(pair => pair.Value.Select(marked => (marked, Plain: pair.Key.ToString())))
        .Concat(_spelt.Select(pair => (pair.Key, pair.Value)))
        .ToFrozenDictionary(pair => pair.Item1, pair => pair.Item2);

    /// <summary>The letter without marks; null when it is none of these.</summary>
    public static string? Plain(char small) => _plain.GetValueOrDefault(small);
}
