using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Reads the cells of one line as an item. What cannot be read is told, and stands for nothing in what is judged next.</summary>
internal sealed class KitCsvCells(Func<string, string?> cell, bool decimalComma, Action<string, string> fault)
{
    /// <summary>The item of this line; absent when the line names none.</summary>
    public KitItem? Item()
    {
        if (cell(KitCsv.Item) is not { } id)
        {
            return null;
        }

        var expected = Whole("expected");
        if (cell("expected") is null)
        {
            fault("expected", "Say how many belong in the case.");
        }

        var par = Whole("par");
        var count = expected ?? Math.Max(1, par ?? 1);
        return new KitItem(id, cell("kind") ?? string.Empty, count, par ?? count)
        {
            Serial = cell("serial"),
            SingleUse = YesNo("single_use", whenEmpty: false),
            Lot = cell("lot"),
            Expiry = Day("expiry"),
            Contact = Contact(),
            WipeSafe = YesNo("wipe_safe", whenEmpty: true),
            ContactTimeSeconds = Whole("contact_time_s"),
            NeedsCertificate = YesNo("needs_certificate", whenEmpty: false),
            Pairing = cell("pairing"),
            MassKg = Number("mass_kg"),
            VolumeL = Number("volume_l"),
            Battery = Battery(),
        };
    }

    private ItemBattery? Battery()
    {
        string[] columns = ["battery_wh", "battery_cells", "batteries", "battery_in_equipment"];
        if (columns.All(column => cell(column) is null))
        {
            return null;
        }

        var missing = columns.Where(column => cell(column) is null).ToList();
        foreach (var column in missing)
        {
            fault(column, "A battery needs its energy in Wh, its cells, how many there are, and whether it is in equipment.");
        }

        var (energy, cells, batteries, inside) = (Number("battery_wh"), Whole("battery_cells"), Whole("batteries"), YesNo("battery_in_equipment", whenEmpty: true));
        return energy is { } wattHours && cells is { } each && batteries is { } many ? new ItemBattery(wattHours, each, many, inside) : null;
    }

    private int? Whole(string column)
    {
        if (cell(column) is not { } text)
        {
            return null;
        }

        if (int.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number))
        {
            return number;
        }

        fault(column, $"\"{text}\" is not a whole number.");
        return null;
    }

    private double? Number(string column)
    {
        if (cell(column) is not { } text)
        {
            return null;
        }

        // A spreadsheet that separates by semicolons writes its decimals with a comma.
        var plain = decimalComma ? text.Replace(',', '.') : text;
        if (double.TryParse(plain, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign | NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number))
        {
            return number;
        }

        fault(column, $"\"{text}\" is not a number.");
        return null;
    }

    private bool YesNo(string column, bool whenEmpty)
    {
        switch (cell(column)?.ToLowerInvariant())
        {
            case null:
                return whenEmpty;
            case KitCsv.Yes:
                return true;
            case KitCsv.No:
                return false;
            default:
                fault(column, $"Write {KitCsv.Yes} or {KitCsv.No}.");
                return whenEmpty;
        }
    }

    private DateOnly? Day(string column)
    {
        if (cell(column) is not { } text)
        {
            return null;
        }

        if (DateOnly.TryParseExact(text, KitCsv.Day, CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
        {
            return day;
        }

        fault(column, $"\"{text}\" is not a day written like 2026-03-14.");
        return null;
    }

    private ItemContact Contact()
    {
        if (cell("contact") is not { } text)
        {
            return ItemContact.None;
        }

        if (Enum.GetValues<ItemContact>().Where(contact => string.Equals(contact.ToString(), text, StringComparison.OrdinalIgnoreCase)).ToList() is [var found])
        {
            return found;
        }

        fault("contact", "What it touches is none, skin or canal.");
        return ItemContact.None;
    }
}
