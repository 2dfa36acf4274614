using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Simulation;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>One threshold of the listener against what the session found.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="TrueDbHl">The listener's threshold in dB HL.</param>
/// <param name="Found">What stands on record; absent when it was not measured.</param>
internal sealed record ComparisonRow(Ear Ear, int FrequencyHz, double TrueDbHl, ThresholdOutcome? Found)
{
    /// <summary>Found minus true in dB; absent unless a threshold was established.</summary>
    public double? DifferenceDb => Found is ThresholdOutcome.Established established ? established.LevelDbHl - TrueDbHl : null;
}

/// <summary>The listener's audiogram against the record, as a table.</summary>
internal static class Comparison
{
    /// <summary>A row for every threshold of the listener, in the listener's order.</summary>
    public static IReadOnlyList<ComparisonRow> Make(IReadOnlyList<ListenerThreshold> listener, IReadOnlyList<ThresholdRecord> found) =>
    [
        .. listener.Select(row => new ComparisonRow(
            row.Ear,
            row.FrequencyHz,
            row.AirDbHl,
            found.LastOrDefault(record => record.Ear == row.Ear && record.FrequencyHz == row.FrequencyHz)?.Outcome)),
    ];

    /// <summary>Prints the table and a line that sums it up.</summary>
    public static void Print(IReadOnlyList<ComparisonRow> rows, TextWriter output)
    {
        output.WriteLine("ear    frequency  true dB HL  difference dB  found");
        foreach (var row in rows)
        {
            output.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"{OutcomeText.Name(row.Ear),-5}  {row.FrequencyHz,6} Hz  {row.TrueDbHl,10:0.#}  {Difference(row),13}  {(row.Found is null ? "not measured" : OutcomeText.Full(row.Found))}"));
        }

        double[] differences = [.. rows.Select(row => row.DifferenceDb).OfType<double>()];
        output.WriteLine(differences.Length == 0
            ? "No threshold was established."
            : string.Create(
                CultureInfo.InvariantCulture,
                $"{differences.Length} of {rows.Count} thresholds established; {differences.Count(difference => Math.Abs(difference) <= 5)} within 5 dB of the true one; largest difference {differences.Max(Math.Abs):0.#} dB."));
    }

    private static string Difference(ComparisonRow row) =>
        row.DifferenceDb is { } difference ? difference.ToString("+0.#;-0.#;0", CultureInfo.InvariantCulture) : "";
}
