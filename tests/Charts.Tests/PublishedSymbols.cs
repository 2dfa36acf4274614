using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts.Tests;

/// <summary>One row of the table of symbols (ASHA 1990 and ISO 8253-1; shapes and arrows confirmed against 21 NCAC 22I .0111, forehead shapes and colours from memory).</summary>
public sealed record PublishedSymbol(string Ear, string Conduction, bool Masked, string Name, string Glyph, string Colour, string NoResponse)
{
    public ConductionRoute Route => Conduction switch
    {
        "air" => ConductionRoute.Air,
        "bone mastoid" => ConductionRoute.BoneMastoid,
        "bone forehead" => ConductionRoute.BoneForehead,
        _ => throw new InvalidOperationException($"No route is called {Conduction}."),
    };

    /// <summary>Ears for which it is drawn: both where the table names none.</summary>
    public IReadOnlyList<Ear> Ears => Ear switch { "right" => [Audiology.Ear.Right], "left" => [Audiology.Ear.Left], _ => [Audiology.Ear.Right, Audiology.Ear.Left] };
}

internal static class PublishedSymbols
{
    /// <summary>The rows for sounds from an earphone or a vibrator; those for a sound field are not drawn.</summary>
    public static IReadOnlyList<PublishedSymbol> Read()
    {
        var library = typeof(AudiometricFrequency).Assembly;
        var name = library.GetManifestResourceNames().Single(resource => resource.EndsWith("audiogram_symbols.csv", StringComparison.Ordinal));
        using var reader = new StreamReader(library.GetManifestResourceStream(name)!);
        return
        [
            .. reader.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries)
                .Where(line => !line.StartsWith('#'))
                .Skip(1)
                .Select(line => line.TrimEnd('\r').Split(','))
                .Where(cells => !cells[1].StartsWith("sound field", StringComparison.Ordinal))
                .Select(cells => new PublishedSymbol(cells[0], cells[1], cells[2] == "yes", cells[3], cells[4], cells[6], cells[7])),
        ];
    }
}
