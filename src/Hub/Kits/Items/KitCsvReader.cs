using System.Text;
using System.Text.RegularExpressions;
using CsvHelper;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>What reading a file came to.</summary>
/// <param name="Kits">The kits; not to be used while there are faults.</param>
/// <param name="Faults">Everything that is wrong, by line.</param>
internal sealed record KitCsvFile(IReadOnlyList<KitSheet> Kits, IReadOnlyList<ImportFault> Faults);

/// <summary>Reads kits and items from a file: UTF-8 with or without its mark, with commas or semicolons. Finds every fault, not the first one only.</summary>
internal sealed partial class KitCsvReader
{
    /// <summary>Largest file, bytes (design): some thousand kits.</summary>
    public const int LargestBytes = 4 * 1024 * 1024;

    /// <summary>Most faults told; a file with more is another file altogether.</summary>
    private const int MostFaults = 200;

    private readonly List<ImportFault> _faults = [];
    private readonly List<(KitId KitId, string? Label, string? Where, KitItem? Item, int Line)> _rows = [];
    private readonly Dictionary<string, int> _columns = [];
    private char _separator;

    private KitCsvReader()
    {
    }

    /// <summary>Reads a file.</summary>
    public static KitCsvFile Read(ReadOnlySpan<byte> bytes)
    {
        var reader = new KitCsvReader();
        reader.Take(bytes);
        var faults = reader._faults.OrderBy(fault => fault.Line).ToList();
        return new KitCsvFile(
            faults.Count == 0 ? reader.Kits() : [],
            faults.Count <= MostFaults ? faults : [.. faults.Take(MostFaults), new ImportFault(0, string.Empty, $"There are {faults.Count - MostFaults} more.")]);
    }

    private void Take(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length > LargestBytes)
        {
            Fault(0, string.Empty, $"The file is larger than {LargestBytes / 1024 / 1024} MB.");
            return;
        }

        string text;
        try
        {
            text = new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(bytes).TrimStart('\uFEFF');
        }
        catch (ArgumentException)
        {
            Fault(0, string.Empty, "The file is not UTF-8. Save it from the spreadsheet as \"CSV UTF-8\".");
            return;
        }

        _separator = SeparatorOf(text);
        using var csv = CsvReader.FromText(text, new CsvReaderOptions
        {
            Separator = _separator,
            HasHeader = false,
            TrackLineNumbers = true,
            MalformedData = CsvMalformedDataHandling.Recover,
            OnMalformedRecord = record => Fault((int)record.LineNumber, string.Empty, "The quotation marks of this line do not match: a text in quotation marks ends where it should not."),
        });
        if (!csv.Read())
        {
            Fault(0, string.Empty, "The file is empty.");
            return;
        }

        TakeHeading(csv);
        if (_faults.Count > 0)
        {
            return;
        }

        while (csv.Read())
        {
            TakeLine(csv);
        }

        JudgeKits();
    }

    private void TakeHeading(CsvReader csv)
    {
        for (var index = 0; index < csv.FieldCount; index++)
        {
            var name = Text(csv, index).ToLowerInvariant();
            if (name.Length == 0)
            {
                continue;
            }

            if (!KitCsv.Columns.Contains(name))
            {
                Fault(1, name, $"This column is not known. Known are: {string.Join(", ", KitCsv.Columns)}.");
            }
            else if (!_columns.TryAdd(name, index))
            {
                Fault(1, name, "This column is there twice.");
            }
        }

        if (!_columns.ContainsKey(KitCsv.Kit))
        {
            Fault(1, KitCsv.Kit, "This column is missing. The first line names the columns, separated by commas or semicolons.");
        }
    }

    private void TakeLine(CsvReader csv)
    {
        var line = (int)csv.LineNumber;
        var cells = Enumerable.Range(0, csv.FieldCount).Select(index => Text(csv, index)).ToList();
        if (cells.All(cell => cell.Length == 0))
        {
            return;
        }

        if (cells.Count <= _columns.Values.Max() || cells.Skip(_columns.Values.Max() + 1).Any(cell => cell.Length > 0))
        {
            Fault(line, string.Empty, $"This line has {cells.Count} columns, and the heading has {_columns.Values.Max() + 1}.");
            return;
        }

        string? Cell(string column) => _columns.TryGetValue(column, out var index) && cells[index].Length > 0 ? cells[index] : null;
        var cellReader = new KitCsvCells(Cell, decimalComma: _separator == ';', (column, sentence) => Fault(line, column, sentence));
        var kit = Cell(KitCsv.Kit);
        if (kit is null || !KitNumber().IsMatch(kit))
        {
            Fault(line, KitCsv.Kit, "The kit's number is 1 to 40 letters, digits, points and hyphens, e.g. kit-03.");
            kit = null;
        }

        var item = cellReader.Item();
        if (item is null && KitCsv.Columns.SkipWhile(column => column != KitCsv.Item).Any(column => Cell(column) is not null))
        {
            Fault(line, KitCsv.Item, "This line tells of an item and gives it no id.");
        }

        if (kit is not null)
        {
            _rows.Add((new KitId(kit), Cell(KitCsv.Label), Cell(KitCsv.Where), item, line));
        }
    }

    private void JudgeKits()
    {
        foreach (var kit in _rows.GroupBy(row => row.KitId.Value, StringComparer.OrdinalIgnoreCase))
        {
            var first = kit.First();
            foreach (var row in kit.Where(row => row.KitId != first.KitId))
            {
                Fault(row.Line, KitCsv.Kit, $"This kit is written {first.KitId} in line {first.Line}.");
            }

            foreach (var (column, read) in new (string, Func<(KitId, string? Label, string? Where, KitItem?, int), string?>)[] { (KitCsv.Label, row => row.Label), (KitCsv.Where, row => row.Where) })
            {
                var told = kit.Where(row => read(row) is not null).ToList();
                foreach (var row in told.Where(row => read(row) != read(told[0])))
                {
                    Fault(row.Line, column, $"This differs from what line {told[0].Line} says of {kit.Key}.");
                }
            }

            var items = kit.Where(row => row.Item is not null).ToList();
            foreach (var fault in ItemRules.Faults([.. items.Select(row => row.Item!)]))
            {
                Fault(fault.Index < 0 ? first.Line : items[fault.Index].Line, fault.Field, fault.Sentence);
            }
        }

        if (_rows.Count == 0 && _faults.Count == 0)
        {
            Fault(0, string.Empty, "The file names no kit.");
        }
    }

    private List<KitSheet> Kits() =>
    [
        .. _rows.GroupBy(row => row.KitId).Select(kit => new KitSheet(
            kit.Key,
            kit.Select(row => row.Label).FirstOrDefault(label => label is not null),
            kit.Select(row => row.Where).FirstOrDefault(place => place is not null),
            [.. kit.Where(row => row.Item is not null).Select(row => row.Item!)],
            kit.First().Line)),
    ];

    /// <summary>A cell without the apostrophe that keeps a spreadsheet from taking it for a formula.</summary>
    private static string Text(CsvReader csv, int index)
    {
        var text = csv.GetString(index);
        return (text.Length > 1 && text[0] == '\'' && KitCsv.Risky.Contains(text[1]) ? text[1..] : text).Trim();
    }

    /// <summary>The separator of the first line: the one there are more of outside quotation marks.</summary>
    private static char SeparatorOf(string text)
    {
        var (quoted, commas, semicolons) = (false, 0, 0);
        foreach (var character in text)
        {
            switch (character)
            {
                case '"':
                    quoted = !quoted;
                    break;
                case '\n' or '\r' when !quoted:
                    return semicolons > commas ? ';' : ',';
                case ',' when !quoted:
                    commas++;
                    break;
                case ';' when !quoted:
                    semicolons++;
                    break;
            }
        }

        return semicolons > commas ? ';' : ',';
    }

    private void Fault(int line, string column, string sentence) => _faults.Add(new ImportFault(line, column, sentence));

    [GeneratedRegex("^[A-Za-z0-9][A-Za-z0-9.-]{0,39}$")]
    private static partial Regex KitNumber();
}
