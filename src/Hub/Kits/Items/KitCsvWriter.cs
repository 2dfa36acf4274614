using System.Globalization;
using CsvHelper;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Writes kits and items as a file that spreadsheets open: UTF-8 with its mark, and no cell that could be taken for a formula.</summary>
internal static class KitCsvWriter
{
    /// <summary>Writes a file.</summary>
    /// <param name="kits">The kits.</param>
    /// <param name="separator">Comma or semicolon.</param>
    public static byte[] Write(IEnumerable<KitSheet> kits, char separator = ',')
    {
        using var stream = new MemoryStream();
        using (var writer = CsvWriter.Create(stream, Options(separator), true))
        {
            Write(writer, KitCsv.Columns);
            foreach (var kit in kits)
            {
                string[] head = [kit.KitId.Value, kit.Label ?? string.Empty, kit.Where ?? string.Empty];
                if (kit.Items.Count == 0)
                {
                    Write(writer, [.. head, .. Enumerable.Repeat(string.Empty, KitCsv.Columns.Count - head.Length)]);
                }

                foreach (var item in kit.Items)
                {
                    Write(writer, [.. head, .. Cells(item)]);
                }
            }
        }

        return stream.ToArray();
    }

    // Not left to the library: it cannot treat its own apostrophe as a risky character too, and a text that begins with one would not come back the same.
    private static void Write(CsvWriter writer, IEnumerable<string> cells) => writer.WriteRecord([.. cells.Select(cell => cell.Length > 0 && KitCsv.Risky.Contains(cell[0]) ? "'" + cell : cell)]);

    private static CsvWriterOptions Options(char separator) => new()
    {
        Separator = separator,
        HasHeader = false,
        NewLine = "\r\n",
        WriteByteOrderMark = true,
        FormatProvider = CultureInfo.InvariantCulture,
    };

    private static string[] Cells(KitItem item) =>
    [
        item.ItemId,
        item.Kind,
        Number(item.ExpectedCount),
        Number(item.ParCount),
        item.Serial ?? string.Empty,
        YesNo(item.SingleUse),
        item.Lot ?? string.Empty,
        item.Expiry?.ToString(KitCsv.Day, CultureInfo.InvariantCulture) ?? string.Empty,
        item.Contact.ToString().ToLowerInvariant(),
        YesNo(item.WipeSafe),
        Number(item.ContactTimeSeconds),
        YesNo(item.NeedsCertificate),
        item.Pairing ?? string.Empty,
        Number(item.MassKg),
        Number(item.VolumeL),
        Number(item.Battery?.WattHours),
        Number(item.Battery?.Cells),
        Number(item.Battery?.Batteries),
        item.Battery is { } battery ? YesNo(battery.InEquipment) : string.Empty,
    ];

    private static string YesNo(bool value) => value ? KitCsv.Yes : KitCsv.No;

    private static string Number(double? value) => value?.ToString(CultureInfo.InvariantCulture) ?? string.Empty;
}
