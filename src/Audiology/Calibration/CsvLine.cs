using System.Text;

namespace TeleHearing.Audiology.Calibration;

/// <summary>Splits one line of comma-separated text; a cell in double quotes may hold commas, and a doubled quote stands for one (RFC 4180).</summary>
internal static class CsvLine
{
    public static IReadOnlyList<string> Split(string line)
    {
        var cells = new List<string>();
        var cell = new StringBuilder();
        var quoted = false;
        for (var index = 0; index < line.Length; index++)
        {
            var character = line[index];
            if (character == '"' && quoted && index + 1 < line.Length && line[index + 1] == '"')
            {
                cell.Append('"');
                index++;
            }
            else if (character == '"')
            {
                quoted = !quoted;
            }
            else if (character == ',' && !quoted)
            {
                cells.Add(cell.ToString().Trim());
                cell.Clear();
            }
            else
            {
                cell.Append(character);
            }
        }

        cells.Add(cell.ToString().Trim());
        return cells;
    }
}
