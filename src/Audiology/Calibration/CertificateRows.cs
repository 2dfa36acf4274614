using System.Globalization;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>The table of a certificate file: one row for each ear and frequency.</summary>
internal static class CertificateRows
{
    public const string Header = "ear,frequency_hz,spl_at_full_scale_db,maximum_db_hl,uncertainty_db";

    /// <summary>Largest believable expanded uncertainty, dB (design): laboratories state 0.5 to 2 dB.</summary>
    public const double LargestUncertaintyDb = 5;

    private static readonly string[] _columns = Header.Split(',');

    /// <summary>What a pure-tone test needs at the least, Hz: the air-conduction set of ASHA 2005. Further frequencies are welcome.</summary>
    private static readonly int[] _needed = [250, 500, 1000, 2000, 3000, 4000, 6000, 8000];

    public static bool IsHeader(IReadOnlyList<string> cells) => Filled(cells).SequenceEqual(_columns, StringComparer.OrdinalIgnoreCase);

    public static void Read(int line, IReadOnlyList<string> raw, CertificateDraft draft)
    {
        var cells = Filled(raw);
        if (cells.Count == 0)
        {
            return;
        }

        if (cells.Count != _columns.Length)
        {
            draft.Fault(line, string.Empty, $"There are {cells.Count} cells; {_columns.Length} are wanted: {Header}.");
            return;
        }

        var before = draft.Faults.Count;
        Ear? ear = cells[0].ToLowerInvariant() switch { "left" => Ear.Left, "right" => Ear.Right, _ => null };
        if (ear is null)
        {
            draft.Fault(line, _columns[0], $"\"{cells[0]}\" is not an ear; write left or right.");
        }

        if (!TryNumber(cells[1], out var hertz) || !AudiometricFrequency.TryFromHertz(hertz, out var frequency))
        {
            draft.Fault(line, _columns[1], $"\"{cells[1]}\" is not an audiometric frequency; write it in Hz, e.g. 1000.");
            frequency = default;
        }

        var spl = Within(line, 2, cells, CalibrationRules.LowestSplAtFullScaleDb, CalibrationRules.HighestSplAtFullScaleDb, "dB SPL", draft);
        var maximum = Within(line, 3, cells, HearingLevels.LowestPresentedDbHl, CalibrationRules.HighestMaximumDbHl, "dB HL", draft);
        var uncertainty = Within(line, 4, cells, 0, LargestUncertaintyDb, "dB", draft);
        if (ear is { } known && frequency.Hertz != 0 && draft.Rows.Exists(row => row.Entry.Ear == known && row.Entry.FrequencyHz == frequency.Hertz))
        {
            draft.Fault(line, string.Empty, $"The {cells[0].ToLowerInvariant()} ear at {frequency} is there already.");
        }

        if (draft.Faults.Count == before)
        {
            draft.Rows.Add((line, new CalibrationEntry(ear!.Value, frequency.Hertz, spl!.Value, maximum!.Value) { UncertaintyDb = uncertainty }));
        }
    }

    public static void Check(CertificateDraft draft)
    {
        if (draft.HeaderLine is null)
        {
            draft.Fault(null, string.Empty, $"There is no table. It begins with {Header}.");
            return;
        }

        // A row with a fault is not missing: only what no line speaks of is.
        if (!draft.Faults.Exists(fault => fault.Line > draft.HeaderLine))
        {
            CheckWhole(draft);
        }

        if (draft is { Kind: { } kind, Coupler: { } coupler } && ReferenceThresholds.CouplersOf(kind).Contains(coupler))
        {
            draft.Rows.ForEach(row => CheckReach(row.Line, row.Entry, kind, coupler, draft));
        }
    }

    public static bool TryNumber(string cell, out double value) =>
        double.TryParse(cell, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);

    private static void CheckWhole(CertificateDraft draft)
    {
        var wanted = Needed(draft).Union(draft.Rows.Select(row => row.Entry.FrequencyHz)).Order().ToList();
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            var there = draft.Rows.Where(row => row.Entry.Ear == ear).Select(row => row.Entry.FrequencyHz).ToHashSet();
            var missing = wanted.Where(hertz => !there.Contains(hertz)).ToList();
            if (missing.Count > 0)
            {
                var name = ear == Ear.Right ? "right" : "left";
                draft.Fault(null, string.Empty, $"The {name} ear has no row for {string.Join(", ", missing)} Hz. Add {(missing.Count == 1 ? "a row that begins" : "rows that begin")} {string.Join(" and ", missing.Select(hertz => $"{name},{hertz},"))}");
            }
        }
    }

    /// <summary>Where the standards give no reference threshold nothing can be tested, and nothing is needed.</summary>
    private static IEnumerable<int> Needed(CertificateDraft draft) => draft.Kind == TransducerKind.BoneVibrator
        ? _needed.Where(hertz => BoneFrequencies.Tested.Contains(AudiometricFrequency.FromHertz(hertz)))
        : draft is { Kind: { } kind, Coupler: { } coupler } && ReferenceThresholds.CouplersOf(kind).Contains(coupler)
        ? _needed.Where(hertz => ReferenceThresholds.TryGet(kind, coupler, AudiometricFrequency.FromHertz(hertz), out _))
        : _needed;

    private static void CheckReach(int line, CalibrationEntry entry, TransducerKind kind, Coupler coupler, CertificateDraft draft)
    {
        if (!ReferenceThresholds.TryGet(kind, coupler, AudiometricFrequency.FromHertz(entry.FrequencyHz), out var retspl))
        {
            draft.Fault(line, "frequency_hz", $"There is no reference threshold for {GearNames.Words(kind)} on {GearNames.Words(coupler)} at {entry.FrequencyHz} Hz.");
        }
        else if (entry.MaximumDbHl + retspl - entry.SplAtFullScaleDb > LevelChain.RoundingDb)
        {
            draft.Fault(line, "maximum_db_hl", string.Create(CultureInfo.InvariantCulture, $"{entry.MaximumDbHl} dB HL is {entry.MaximumDbHl + retspl - entry.SplAtFullScaleDb:0.0} dB more than digital full scale reaches."));
        }
    }

    private static double? Within(int line, int column, IReadOnlyList<string> cells, double low, double high, string unit, CertificateDraft draft)
    {
        if (TryNumber(cells[column], out var value) && value >= low && value <= high)
        {
            return value;
        }

        draft.Fault(line, _columns[column], string.Create(CultureInfo.InvariantCulture, $"\"{cells[column]}\" cannot be right; write a number from {low} to {high} {unit}, with a point."));
        return null;
    }

    private static IReadOnlyList<string> Filled(IReadOnlyList<string> cells)
    {
        var count = cells.Count;
        while (count > 0 && cells[count - 1].Length == 0)
        {
            count--;
        }

        return [.. cells.Take(count)];
    }
}
