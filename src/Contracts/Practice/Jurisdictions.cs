using System.Collections.Frozen;
using System.Reflection;

namespace TeleHearing.Contracts;

/// <summary>A place whose law and licensing body count: a country, or a part of one that licenses by itself.</summary>
/// <param name="Code">Code of ISO 3166-1, e.g. "NL", or of ISO 3166-2, e.g. "CA-NS".</param>
/// <param name="Country">Name of the country.</param>
public sealed record Jurisdiction(string Code, string Country)
{
    /// <summary>Code of the country.</summary>
    public string CountryCode => Code[..2];

    /// <summary>Whether it is a part of a country.</summary>
    public bool IsPart => Code.Length > 2;

    /// <summary>As a person reads it, e.g. "CA-NS (Canada)".</summary>
    public override string ToString() => $"{Code} ({Country})";
}

/// <summary>Codes of countries and their parts, as the shipped list has them (Practice/Tables/countries.csv says where it comes from). Which of them licenses, and whom, local law decides.</summary>
public static class Jurisdictions
{
    /// <summary>Longest code, characters.</summary>
    public const int LongestCode = 6;

    private static readonly FrozenDictionary<string, (string Name, FrozenSet<string> Parts)> _countries = Read();

    /// <summary>Codes of countries in order of their names.</summary>
    public static IReadOnlyList<Jurisdiction> Countries { get; } =
        [.. _countries.Select(pair => new Jurisdiction(pair.Key, pair.Value.Name)).OrderBy(country => country.Country, StringComparer.Ordinal)];

    /// <summary>Reads a code as typed: letters of either case, blanks around it. Null when it is no code of the list.</summary>
    public static Jurisdiction? Find(string? typed)
    {
        var code = typed?.Trim().ToUpperInvariant() ?? string.Empty;
        if (code.Length < 2 || code.Length > LongestCode || !_countries.TryGetValue(code[..2], out var country))
        {
            return null;
        }

        return code.Length == 2 || (code[2] == '-' && country.Parts.Contains(code[3..])) ? new Jurisdiction(code, country.Name) : null;
    }

    /// <summary>Why something typed is no code, as a sentence; null when it is one.</summary>
    public static string? Fault(string? typed)
    {
        if (Find(typed) is not null)
        {
            return null;
        }

        var code = typed?.Trim().ToUpperInvariant() ?? string.Empty;
        return code.Length == 0
            ? "Give the country, or the part of it, by its ISO 3166 code."
            : code.Length is > 2 and <= LongestCode && _countries.TryGetValue(code[..2], out var country)
            ? $"{country.Name} has no part with the code {code}. Give {code[..2]} alone, or a part as ISO 3166-2 writes it."
            : code.Length <= LongestCode ? $"{code} is no code of a country. Give one as ISO 3166 writes it, for example NL or CA-NS." : "That is no code of ISO 3166. Give for example NL or CA-NS.";
    }

    /// <summary>Whether a registration for one place counts at another: at the same, and that of a country in each of its parts. That of a part does not count in the whole country.</summary>
    /// <param name="registered">Code the registration is for.</param>
    /// <param name="place">Code of the place.</param>
    public static bool Covers(string registered, string place) =>
        string.Equals(registered, place, StringComparison.OrdinalIgnoreCase)
        || (registered.Length == 2 && place.Length > 2 && place[2] == '-' && place.StartsWith(registered, StringComparison.OrdinalIgnoreCase));

    private static FrozenDictionary<string, (string, FrozenSet<string>)> Read()
    {
        using var stream = Assembly.GetExecutingAssembly().GetManifestResourceStream("TeleHearing.Contracts.Practice.Tables.countries.csv")
            ?? throw new InvalidOperationException("The list of countries is not in this build.");
        using var reader = new StreamReader(stream);
        return reader.ReadToEnd()
            .Split('\n', StringSplitOptions.RemoveEmptyEntries)
            .Where(line => line[0] != '#')
            .Skip(1)
            .Select(line => line.TrimEnd('\r').Split(';'))
            .ToFrozenDictionary(
                cells => cells[0],
                cells => (cells[1], cells[2].Split(' ', StringSplitOptions.RemoveEmptyEntries).ToFrozenSet(StringComparer.Ordinal)),
                StringComparer.Ordinal);
    }
}
