using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Items;

/// <summary>An item as it is typed: text in every field, read when it is kept.</summary>
public sealed class ItemDraft
{
    /// <summary>Names this line while it is typed, also when its id changes.</summary>
    public string Key { get; } = $"item-{Guid.CreateVersion7():N}";

    public string Id { get; set; } = string.Empty;

    public string Kind { get; set; } = string.Empty;

    public string Expected { get; set; } = "1";

    public string Par { get; set; } = "1";

    public string Serial { get; set; } = string.Empty;

    public bool SingleUse { get; set; }

    public string Lot { get; set; } = string.Empty;

    public DateOnly? Expiry { get; set; }

    public ItemContact Contact { get; set; }

    public bool WipeSafe { get; set; } = true;

    public string ContactTime { get; set; } = string.Empty;

    public bool NeedsCertificate { get; set; }

    public string Pairing { get; set; } = string.Empty;

    public string Mass { get; set; } = string.Empty;

    public string Volume { get; set; } = string.Empty;

    public string BatteryWattHours { get; set; } = string.Empty;

    public string BatteryCells { get; set; } = "1";

    public string Batteries { get; set; } = "1";

    public bool BatteryInEquipment { get; set; } = true;

    /// <summary>A draft of an item that is there.</summary>
    public static ItemDraft Of(KitItem item) => new()
    {
        Id = item.ItemId,
        Kind = item.Kind,
        Expected = Text(item.ExpectedCount),
        Par = Text(item.ParCount),
        Serial = item.Serial ?? string.Empty,
        SingleUse = item.SingleUse,
        Lot = item.Lot ?? string.Empty,
        Expiry = item.Expiry,
        Contact = item.Contact,
        WipeSafe = item.WipeSafe,
        ContactTime = Text(item.ContactTimeSeconds),
        NeedsCertificate = item.NeedsCertificate,
        Pairing = item.Pairing ?? string.Empty,
        Mass = Text(item.MassKg),
        Volume = Text(item.VolumeL),
        BatteryWattHours = Text(item.Battery?.WattHours),
        BatteryCells = Text(item.Battery?.Cells ?? 1),
        Batteries = Text(item.Battery?.Batteries ?? 1),
        BatteryInEquipment = item.Battery?.InEquipment ?? true,
    };

    /// <summary>The drafts as items, with everything that cannot be read or kept, line by line.</summary>
    public static (IReadOnlyList<KitItem> Items, IReadOnlyList<ItemFault> Faults) Read(IReadOnlyList<ItemDraft> drafts)
    {
        var faults = new List<ItemFault>();
        var items = drafts.Select((draft, index) => draft.ToItem((field, sentence) => faults.Add(new ItemFault(index, field, sentence)))).ToList();
        var unread = faults.Select(fault => (fault.Index, fault.Field)).ToHashSet();
        return (items, [.. faults.Concat(ItemRules.Faults(items).Where(fault => !unread.Contains((fault.Index, fault.Field)))).OrderBy(fault => fault.Index)]);
    }

    private KitItem ToItem(Action<string, string> fault) => new(Id.Trim(), Kind.Trim(), Whole(Expected, "expected", fault) ?? 0, Whole(Par, "par", fault) ?? 0)
    {
        Serial = OrNull(Serial),
        SingleUse = SingleUse,
        Lot = OrNull(Lot),
        Expiry = Expiry,
        Contact = Contact,
        WipeSafe = WipeSafe,
        ContactTimeSeconds = Whole(ContactTime, "contact_time_s", fault, needed: false),
        NeedsCertificate = NeedsCertificate,
        Pairing = OrNull(Pairing),
        MassKg = Number(Mass, "mass_kg", fault),
        VolumeL = Number(Volume, "volume_l", fault),
        Battery = Number(BatteryWattHours, "battery_wh", fault) is { } wattHours
            ? new ItemBattery(wattHours, Whole(BatteryCells, "battery_cells", fault) ?? 0, Whole(Batteries, "batteries", fault) ?? 0, BatteryInEquipment)
            : null,
    };

    private static string? OrNull(string text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();

    private static string Text(double? number) => number?.ToString(CultureInfo.InvariantCulture) ?? string.Empty;

    private static int? Whole(string text, string field, Action<string, string> fault, bool needed = true)
    {
        if (string.IsNullOrWhiteSpace(text) && !needed)
        {
            return null;
        }

        if (int.TryParse(text.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out var number))
        {
            return number;
        }

        fault(field, "This is a whole number.");
        return null;
    }

    private static double? Number(string text, string field, Action<string, string> fault)
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            return null;
        }

        if (KitWords.TryNumber(text, out var number))
        {
            return number;
        }

        fault(field, "This is a number, e.g. 0.25.");
        return null;
    }
}
