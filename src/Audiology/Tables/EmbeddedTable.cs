using System.Globalization;
using System.Reflection;

namespace TeleHearing.Audiology.Tables;

/// <summary>A table of a standard, shipped inside the assembly: first line <c># source: ...</c>, second line the column names.</summary>
internal sealed class EmbeddedTable
{
    private readonly string[] _columns;

    private EmbeddedTable(string source, string[] columns, IReadOnlyList<Row> rows)
    {
        Source = source;
        _columns = columns;
        Rows = rows;
    }

    /// <summary>Where the numbers come from, as the file says.</summary>
    public string Source { get; }

    /// <summary>The rows in file order.</summary>
    public IReadOnlyList<Row> Rows { get; }

    /// <summary>Reads one of the tables beside this file.</summary>
    /// <exception cref="InvalidOperationException">The build does not contain the table, or it is damaged.</exception>
    public static EmbeddedTable Read(string fileName)
    {
        var assembly = Assembly.GetExecutingAssembly();
        using var stream = assembly.GetManifestResourceStream($"TeleHearing.Audiology.Tables.{fileName}")
            ?? throw new InvalidOperationException($"The table {fileName} is not in this build.");
        using var reader = new StreamReader(stream);
        return Parse(fileName, reader.ReadToEnd());
    }

    private static EmbeddedTable Parse(string fileName, string text)
    {
        var lines = text.Split('\n', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);
        if (lines.Length < 3 || !lines[0].StartsWith("# source:", StringComparison.Ordinal))
        {
            throw new InvalidOperationException($"The table {fileName} has no source line or no rows.");
        }

        var columns = lines[1].Split(',');
        var rows = new List<Row>();
        foreach (var line in lines.Skip(2))
        {
            var cells = line.Split(',');
            if (cells.Length != columns.Length)
            {
                throw new InvalidOperationException($"The table {fileName} has a row with {cells.Length} cells where {columns.Length} are named: {line}");
            }

            rows.Add(new Row(columns, cells));
        }

        return new EmbeddedTable(lines[0]["# source:".Length..].Trim(), columns, rows);
    }

    /// <summary>Whether a column of this name exists.</summary>
    public bool HasColumn(string column) => Array.IndexOf(_columns, column) >= 0;

    /// <summary>One row.</summary>
    internal sealed class Row(string[] columns, string[] cells)
    {
        /// <summary>The cell as text; empty when the standard prints nothing there.</summary>
        public string Text(string column)
        {
            var index = Array.IndexOf(columns, column);
            return index >= 0 ? cells[index] : throw new ArgumentException($"No column {column}.", nameof(column));
        }

        /// <summary>The cell as a number; absent when the standard prints nothing there.</summary>
        public double? NumberOrNone(string column)
        {
            var text = Text(column);
            return text.Length == 0 ? null : double.Parse(text, CultureInfo.InvariantCulture);
        }

        /// <summary>The cell as a number.</summary>
        /// <exception cref="InvalidOperationException">The cell is empty.</exception>
        public double Number(string column) =>
            NumberOrNone(column) ?? throw new InvalidOperationException($"No number in column {column}.");
    }
}
