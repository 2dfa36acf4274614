using System.Globalization;

namespace TeleHearing.Audiology.Simulation;

/// <summary>A fault of a listener file.</summary>
/// <param name="Line">Line, from 1.</param>
/// <param name="Column">Column name, or the empty text when the whole line is meant.</param>
/// <param name="Sentence">What is wrong and what is wanted.</param>
public sealed record ListenerTableFault(int Line, string Column, string Sentence);

/// <summary>What reading a listener file came to: rows, or faults. Never both.</summary>
public abstract record ListenerTable
{
    private const string Header = "ear,frequency_hz,air_db_hl,bone_db_hl";
    private const double LowestDbHl = -20;
    private const double HighestDbHl = 140;

    private ListenerTable()
    {
    }

    /// <summary>The file is whole.</summary>
    public sealed record Read(IReadOnlyList<ListenerThreshold> Rows) : ListenerTable;

    /// <summary>The file is not usable; every fault found.</summary>
    public sealed record Faulty(IReadOnlyList<ListenerTableFault> Faults) : ListenerTable;

    /// <summary>Reads a listener file: header <c>ear,frequency_hz,air_db_hl,bone_db_hl</c>, then one row an ear and frequency; the bone cell may be empty. Lines that begin with # and empty lines are passed over.</summary>
    public static ListenerTable Parse(string csvText)
    {
        ArgumentNullException.ThrowIfNull(csvText);
        var rows = new List<ListenerThreshold>();
        var faults = new List<ListenerTableFault>();
        var headerSeen = false;
        var lines = csvText.TrimStart('\uFEFF').Split('\n');
        for (var index = 0; index < lines.Length; index++)
        {
            var text = lines[index].Trim();
            if (text.Length == 0 || text[0] == '#')
            {
                continue;
            }

            if (!headerSeen)
            {
                headerSeen = true;
                if (!string.Equals(text.Replace(" ", string.Empty, StringComparison.Ordinal), Header, StringComparison.OrdinalIgnoreCase))
                {
                    return new Faulty([new(index + 1, string.Empty, $"The first line must be {Header}.{Separator(text)}")]);
                }

                continue;
            }

            ReadRow(index + 1, text, rows, faults);
        }

        if (rows.Count == 0 && faults.Count == 0)
        {
            faults.Add(new(lines.Length, string.Empty, $"There are no rows. Write {Header} and one row for each ear and frequency."));
        }

        return faults.Count == 0 ? new Read(rows) : new Faulty(faults);
    }

    private static void ReadRow(int line, string text, List<ListenerThreshold> rows, List<ListenerTableFault> faults)
    {
        var cells = text.Split(',', StringSplitOptions.TrimEntries);
        if (cells.Length != 4)
        {
            faults.Add(new(line, string.Empty, $"There are {cells.Length} cells; 4 are wanted.{Separator(text)}"));
            return;
        }

        var before = faults.Count;
        Ear? ear = cells[0].ToLowerInvariant() switch { "left" => Ear.Left, "right" => Ear.Right, _ => null };
        if (ear is null)
        {
            faults.Add(new(line, "ear", $"\"{cells[0]}\" is not an ear; write left or right."));
        }

        if (!TryNumber(cells[1], out var hertz) || !AudiometricFrequency.TryFromHertz(hertz, out var frequency))
        {
            faults.Add(new(line, "frequency_hz", $"\"{cells[1]}\" is not an audiometric frequency; write one of {string.Join(", ", AudiometricFrequency.All.Select(known => known.Hertz))}."));
            frequency = default;
        }

        var air = Level(line, "air_db_hl", cells[2], faults);
        var bone = cells[3].Length == 0 ? null : Level(line, "bone_db_hl", cells[3], faults);
        if (ear is { } known && frequency.Hertz != 0 && rows.Any(row => row.Ear == known && row.FrequencyHz == frequency.Hertz))
        {
            faults.Add(new(line, string.Empty, $"The {cells[0].ToLowerInvariant()} ear at {frequency} is there already."));
        }

        if (faults.Count == before)
        {
            rows.Add(new ListenerThreshold(ear!.Value, frequency.Hertz, air!.Value, bone));
        }
    }

    /// <summary>Spreadsheets of many countries write semicolons or tabs, because the comma is their decimal sign.</summary>
    private static string Separator(string line) =>
        line.Contains(';', StringComparison.Ordinal) || line.Contains('\t', StringComparison.Ordinal) ? " Put a comma between the cells, not a semicolon or a tab, and a point in numbers." : string.Empty;

    private static double? Level(int line, string column, string cell, List<ListenerTableFault> faults)
    {
        if (TryNumber(cell, out var level) && level is >= LowestDbHl and <= HighestDbHl)
        {
            return level;
        }

        faults.Add(new(line, column, $"\"{cell}\" is not a level; write a number from {LowestDbHl} to {HighestDbHl} dB HL."));
        return null;
    }

    private static bool TryNumber(string cell, out double value) =>
        double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
}
