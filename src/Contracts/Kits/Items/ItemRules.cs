using System.Globalization;
using System.Text.RegularExpressions;

namespace TeleHearing.Contracts;

/// <summary>Something in a list of items that keeps it from being kept.</summary>
/// <param name="Index">Place of the item in the list, from 0; -1 when the whole list is meant.</param>
/// <param name="Field">Field it is about, by its name in files of items, e.g. "par".</param>
/// <param name="Sentence">What is wrong and what is wanted.</param>
public sealed record ItemFault(int Index, string Field, string Sentence);

/// <summary>What a list of items must keep to. The same for the form in the console, for a file, and for the hub. Pure.</summary>
/// <remarks>All limits are of this tool's design: wide enough for a case that one person carries, narrow enough to show a slip of the hand.</remarks>
public static partial class ItemRules
{
    /// <summary>Most lines of one case.</summary>
    public const int MostItems = 200;

    /// <summary>Largest count of one line.</summary>
    public const int MostOfOne = 999;

    /// <summary>Longest name of a kind of thing, characters.</summary>
    public const int LongestKind = 100;

    /// <summary>Longest serial number, lot or pairing mark, characters.</summary>
    public const int LongestMark = 60;

    /// <summary>Heaviest single thing, kg.</summary>
    public const double HeaviestKg = 30;

    /// <summary>Largest single thing, litres.</summary>
    public const double LargestL = 100;

    /// <summary>Largest battery, Wh.</summary>
    public const double LargestBatteryWh = 1000;

    /// <summary>Longest contact time of a disinfectant, seconds.</summary>
    public const int LongestContactSeconds = 3600;

    /// <summary>Everything that is wrong with a list, item by item.</summary>
    public static IReadOnlyList<ItemFault> Faults(IReadOnlyList<KitItem> items)
    {
        var faults = new List<ItemFault>();
        if (items.Count > MostItems)
        {
            faults.Add(new ItemFault(-1, "item", $"A case has at most {MostItems} lines."));
        }

        for (var index = 0; index < Math.Min(items.Count, MostItems); index++)
        {
            foreach (var (field, sentence) in Faults(items[index]))
            {
                faults.Add(new ItemFault(index, field, sentence));
            }
        }

        foreach (var (item, index) in Repeated(items, item => item.ItemId.Trim().ToUpperInvariant()))
        {
            faults.Add(new ItemFault(index, "item", $"The id {item.ItemId} is there twice in this case."));
        }

        foreach (var (item, index) in Repeated(items, item => string.IsNullOrWhiteSpace(item.Serial) ? null : item.Serial.Trim().ToUpperInvariant()))
        {
            faults.Add(new ItemFault(index, "serial", $"The serial number {item.Serial} is there twice in this case."));
        }

        return [.. faults.OrderBy(fault => fault.Index)];
    }

    /// <summary>What to know about a list that may be kept as it is, as sentences.</summary>
    /// <param name="items">The list.</param>
    /// <param name="today">The day against which last days of use are held.</param>
    public static IReadOnlyList<string> Cautions(IReadOnlyList<KitItem> items, DateOnly today) =>
    [
        .. items.Where(item => item.Expiry < today).Select(item => string.Create(CultureInfo.InvariantCulture, $"{item.Kind} ({item.ItemId}) may not be used any more: its last day was {item.Expiry:d MMMM yyyy}.")),
        .. items.Where(item => item.Pairing is not null).GroupBy(item => item.Pairing).Where(pair => pair.Count() == 1).Select(pair => $"{pair.First().Kind} ({pair.First().ItemId}) is marked as belonging to \"{pair.Key}\", and nothing else in this case is."),
        .. items.Where(item => item is { Contact: ItemContact.Canal, SingleUse: false, ContactTimeSeconds: null }).Select(item => $"{item.Kind} ({item.ItemId}) goes into the ear and is not marked single-use: without the maker's own instructions for cleaning it again, it is used once (Bankaitis 2023)."),
    ];

    private static IEnumerable<(string Field, string Sentence)> Faults(KitItem item)
    {
        if (!ItemId().IsMatch(item.ItemId ?? string.Empty))
        {
            yield return ("item", "The id is 1 to 12 letters, digits and hyphens, e.g. T1.");
        }

        if (Fault(item.Kind, LongestKind, needed: true) is { } kind)
        {
            yield return ("kind", kind);
        }

        foreach (var (field, text) in new[] { ("serial", item.Serial), ("lot", item.Lot), ("pairing", item.Pairing) })
        {
            if (Fault(text, LongestMark, needed: false) is { } fault)
            {
                yield return (field, fault);
            }
        }

        if (item.ExpectedCount is < 1 or > MostOfOne)
        {
            yield return ("expected", $"How many belong in the case is a whole number from 1 to {MostOfOne}.");
        }
        else if (item.ParCount < 0 || item.ParCount > item.ExpectedCount)
        {
            yield return ("par", $"How many must be there to send it is a whole number from 0 to {item.ExpectedCount}.");
        }

        if (!string.IsNullOrWhiteSpace(item.Serial) && item.ExpectedCount > 1)
        {
            yield return ("serial", "A thing with a serial number is there once: give each a line of its own.");
        }

        if (item.NeedsCertificate && string.IsNullOrWhiteSpace(item.Serial))
        {
            yield return ("serial", "What needs a certificate needs its serial number.");
        }

        if (item.SingleUse && item.NeedsCertificate)
        {
            yield return ("single_use", "What is thrown away after one use has no certificate.");
        }

        if (!Enum.IsDefined(item.Contact))
        {
            yield return ("contact", "What it touches is none, skin or canal.");
        }

        if (item.ContactTimeSeconds is < 1 or > LongestContactSeconds)
        {
            yield return ("contact_time_s", $"The contact time is 1 to {LongestContactSeconds} seconds.");
        }

        foreach (var fault in Amounts(item))
        {
            yield return fault;
        }
    }

    private static IEnumerable<(string Field, string Sentence)> Amounts(KitItem item)
    {
        if (item.MassKg is { } mass && !(mass > 0 && mass <= HeaviestKg))
        {
            yield return ("mass_kg", $"The mass of one is above 0 and at most {HeaviestKg} kg.");
        }

        if (item.VolumeL is { } volume && !(volume > 0 && volume <= LargestL))
        {
            yield return ("volume_l", $"The volume of one is above 0 and at most {LargestL} litres.");
        }

        if (item.Battery is not { } battery)
        {
            yield break;
        }

        if (!(battery.WattHours > 0 && battery.WattHours <= LargestBatteryWh))
        {
            yield return ("battery_wh", $"The energy of one battery is above 0 and at most {LargestBatteryWh} Wh.");
        }

        if (battery.Cells is < 1 or > 100)
        {
            yield return ("battery_cells", "The cells of one battery are 1 to 100.");
        }

        if (battery.Batteries is < 1 or > 100)
        {
            yield return ("batteries", "The batteries of one item are 1 to 100.");
        }
    }

    private static string? Fault(string? text, int longest, bool needed) =>
        string.IsNullOrWhiteSpace(text)
            ? needed ? "Say what it is." : null
            : text.Length > longest ? $"This is longer than {longest} characters." : text.Any(char.IsControl) ? "This must be one line of text." : null;

    /// <summary>Every item whose mark an earlier one has already.</summary>
    private static IEnumerable<(KitItem Item, int Index)> Repeated(IReadOnlyList<KitItem> items, Func<KitItem, string?> mark)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        for (var index = 0; index < items.Count; index++)
        {
            if (items[index].ItemId is not null && mark(items[index]) is { Length: > 0 } known && !seen.Add(known))
            {
                yield return (items[index], index);
            }
        }
    }

    [GeneratedRegex("^[A-Za-z0-9][A-Za-z0-9-]{0,11}$")]
    private static partial Regex ItemId();
}
