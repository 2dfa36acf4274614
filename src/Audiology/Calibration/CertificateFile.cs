using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>What reading a laboratory's certificate came to: a record, or faults. Never both.</summary>
/// <remarks>
/// The file is plain text. First one field a line, <c>name,value</c> (see <see cref="CertificateFields"/>); then the header
/// <c>ear,frequency_hz,spl_at_full_scale_db,maximum_db_hl,uncertainty_db</c> and one row for each ear and frequency. Lines that begin with # and empty
/// lines are passed over. Described in docs/guides/calibration.md.
/// </remarks>
public abstract record CertificateFile
{
    private CertificateFile()
    {
    }

    /// <summary>The file is whole, and what it says can be right.</summary>
    public sealed record Read(CalibrationRecord Record) : CertificateFile;

    /// <summary>The file is not usable; every fault found, by line; what is in no line comes last.</summary>
    public sealed record Faulty(IReadOnlyList<CertificateFault> Faults) : CertificateFile;

    /// <summary>Reads a certificate.</summary>
    /// <param name="text">The whole file.</param>
    /// <param name="expected">The gear it is meant for and what is known of its past; absent to judge the file alone.</param>
    public static CertificateFile Parse(string text, CertificateContext? expected = null)
    {
        ArgumentNullException.ThrowIfNull(text);
        var lines = text.TrimStart('\uFEFF').Split('\n').Select(line => line.Trim()).ToList();
        if (Semicolons(lines) is { } separated)
        {
            return new Faulty([separated]);
        }

        var draft = new CertificateDraft();
        ReadLines(lines, draft);
        CertificateFields.Check(draft);
        CertificateRows.Check(draft);
        if (expected is not null)
        {
            CertificateOwner.Check(draft, expected);
        }

        return draft.Faults.Count == 0
            ? new Read(draft.ToRecord())
            : new Faulty([.. draft.Faults.OrderBy(fault => fault.Line ?? int.MaxValue).ThenBy(fault => fault.Column, StringComparer.Ordinal).Distinct()]);
    }

    /// <summary>A spreadsheet of many countries separates cells by semicolons and writes decimal commas. Nothing in such a file can be read, so this is all that is said of it.</summary>
    private static CertificateFault? Semicolons(List<string> lines)
    {
        var first = lines.FindIndex(IsSeparatedBySemicolons);
        return first < 0
            ? null
            : new(first + 1, string.Empty, $"Cells are separated by semicolons here and in {lines.Count(IsSeparatedBySemicolons) - 1} lines more, so nothing of the file was read. Save it with commas between cells and a point in numbers; in a text editor, replace every comma in a number by a point first, then every semicolon by a comma.");
    }

    private static bool IsSeparatedBySemicolons(string line) => line.Split(';') is [var first, _, ..]
        && (CertificateFields.IsField(first.Trim()) || first.Trim().ToLowerInvariant() is "ear" or "left" or "right");

    private static void ReadLines(List<string> lines, CertificateDraft draft)
    {
        for (var index = 0; index < lines.Count; index++)
        {
            var line = lines[index];
            if (line.Length == 0 || line[0] == '#')
            {
                continue;
            }

            var cells = CsvLine.Split(line);
            if (cells.All(cell => cell.Length == 0))
            {
                continue;
            }

            if (draft.HeaderLine is not null)
            {
                CertificateRows.Read(index + 1, cells, draft);
            }
            else if (CertificateRows.IsHeader(cells))
            {
                draft.HeaderLine = index + 1;
            }
            else if (string.Equals(cells[0], "ear", StringComparison.OrdinalIgnoreCase))
            {
                draft.HeaderLine = index + 1;
                draft.Fault(index + 1, string.Empty, $"The header of the table must be {CertificateRows.Header}.");
            }
            else
            {
                CertificateFields.Read(index + 1, cells, draft);
            }
        }
    }
}
