using System.Globalization;
using System.Text;

namespace TeleHearing.Benchmarks;

/// <summary>The results as plain text.</summary>
internal static class PopulationTable
{
    private static readonly (string Head, int Width, Func<PopulationRow, string> Cell)[] _accuracy =
    [
        ("listeners", -20, row => row.Listeners),
        ("ears", 6, row => Whole(row.Ears)),
        ("mean dB", 8, row => Number(row.AirMeanDb)),
        ("SD dB", 6, row => Number(row.AirSdDb)),
        ("to truth", 9, row => Number(row.AirMeanAgainstTruthDb)),
        ("<=5 %", 7, row => Number(row.AirWithinFive)),
        ("<=10 %", 8, row => Number(row.AirWithinTen, 3)),
        ("none %", 7, row => Number(row.AirNotFound)),
        ("tones", 6, row => Number(row.AirPresentations, 0)),
        ("min", 6, row => Number(row.AirMinutes, 1)),
        ("bone SD", 8, row => Number(row.BoneSdDb)),
        ("all tones", 10, row => Number(row.Presentations, 0)),
        ("all min", 8, row => Number(row.Minutes, 1)),
        ("false %", 8, row => Number(row.FalseResponses, 1)),
        ("repeat %", 9, row => Number(row.Repeat)),
    ];

    private static readonly (string Head, int Width, Func<PopulationRow, string> Cell)[] _masking =
    [
        ("listeners", -20, row => row.Listeners),
        ("needing", 8, row => Whole(row.EarsNeedingMasking)),
        ("masked %", 9, row => Number(row.EarsMasked)),
        ("shadow ears", 12, row => Whole(row.EarsWithShadow)),
        ("thresholds", 11, row => Whole(row.Masked)),
        ("mean dB", 8, row => Number(row.MaskedMeanDb)),
        ("SD dB", 6, row => Number(row.MaskedSdDb)),
        ("<=5 %", 7, row => Number(row.MaskedWithinFive)),
        ("<=10 %", 7, row => Number(row.MaskedWithinTen)),
        ("solved %", 9, row => Number(row.Solved, 1)),
        ("needless %", 11, row => Number(row.Needless, 1)),
        ("dilemmas", 9, row => Whole(row.Dilemmas)),
        ("named", 6, row => Whole(row.DilemmasNamed)),
        ("in ears", 8, row => Whole(row.EarsInDilemma)),
        ("named", 6, row => Whole(row.EarsDilemmaNamed)),
    ];

    public static string Write(PopulationOptions options, IReadOnlyList<PopulationResult> results)
    {
        var text = new StringBuilder();
        text.AppendLine(CultureInfo.InvariantCulture, $"Simulated listeners, seed {options.Seed}, masking rules {options.Rules.Name}.");
        text.AppendLine("Errors are against the lowest level of the grid that the ear hears at least half the time. \"to truth\": against the threshold itself, between the levels. Tones include silent trials.");
        foreach (var result in results)
        {
            var rows = PopulationRow.Of(result);
            text.AppendLine().AppendLine(CultureInfo.InvariantCulture, $"{result.Method.Name}: {result.Method.Description}. {result.EarsPerMinute:0} ears a minute on one core.");
            text.AppendLine("Unmasked thresholds by air, and the length for one ear");
            Table(text, _accuracy, rows);
            text.AppendLine("Masking (a shadow: 15 dB or more better than the ear's own threshold; masked thresholds by air and bone)");
            Table(text, _masking, rows.Where(row => row.Masked > 0 || row.EarsNeedingMasking > 0));
        }

        text.AppendLine().AppendLine("Published, on real people:");
        foreach (var figure in PublishedFigure.All)
        {
            text.AppendLine(CultureInfo.InvariantCulture, $"  {figure.What}: {figure.Value} ({figure.Source})");
        }

        return text.ToString();
    }

    private static void Table(StringBuilder text, (string Head, int Width, Func<PopulationRow, string> Cell)[] columns, IEnumerable<PopulationRow> rows)
    {
        text.AppendLine(string.Concat(columns.Select(column => Pad(column.Head, column.Width))));
        foreach (var row in rows)
        {
            text.AppendLine(string.Concat(columns.Select(column => Pad(column.Cell(row), column.Width))));
        }
    }

    private static string Pad(string cell, int width) => width < 0 ? cell.PadRight(-width) : cell.PadLeft(width);

    private static string Whole(int number) => number.ToString(CultureInfo.InvariantCulture);

    private static string Number(double? number, int decimals = 2) => number is { } known ? known.ToString($"F{decimals}", CultureInfo.InvariantCulture) : "-";
}
