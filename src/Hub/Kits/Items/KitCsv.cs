using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>A kit with its items, as a file tells it.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Label">What it is; absent when the file does not say.</param>
/// <param name="Where">Where it is; absent when the file does not say.</param>
/// <param name="Items">What belongs in its case.</param>
/// <param name="Line">Line of the file that names it first; 0 when it comes from no file.</param>
internal sealed record KitSheet(KitId KitId, string? Label, string? Where, IReadOnlyList<KitItem> Items, int Line);

/// <summary>Columns and words of files of kits and items. One line is one item; a kit without items has one line with its first three columns.</summary>
internal static class KitCsv
{
    public const string Kit = "kit";
    public const string Label = "label";
    public const string Where = "where";
    public const string Item = "item";

    public const string Yes = "yes";
    public const string No = "no";

    /// <summary>How days are written: ISO 8601, which no spreadsheet reads in two ways.</summary>
    public const string Day = "yyyy-MM-dd";

    /// <summary>Characters that make a spreadsheet take a cell for a formula (OWASP, "CSV Injection"), and the apostrophe that is put before them, so that reading takes away exactly what writing put there.</summary>
    public const string Risky = "=+-@\t\r'";

    /// <summary>Every column in the order it is written.</summary>
    public static IReadOnlyList<string> Columns { get; } =
    [
        Kit, Label, Where, Item, "kind", "expected", "par", "serial", "single_use", "lot", "expiry", "contact", "wipe_safe", "contact_time_s",
        "needs_certificate", "pairing", "mass_kg", "volume_l", "battery_wh", "battery_cells", "batteries", "battery_in_equipment",
    ];
}
