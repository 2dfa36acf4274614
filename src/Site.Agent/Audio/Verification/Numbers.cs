using System.Globalization;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Numbers as a person reads them: no more places than mean something, no sign on nothing.</summary>
internal static class Numbers
{
    /// <summary>Below this a recording of 32-bit floats holds only rounding, dB: 24 bits of fraction are 144 dB (arithmetic).</summary>
    private const double RoundingDb = -140;

    /// <summary>Whether a value is silence, or no more than the rounding of the recording.</summary>
    public static bool IsNothing(double value, string unit) => double.IsNegativeInfinity(value) || (unit.StartsWith("dB", StringComparison.Ordinal) && value < RoundingDb);

    /// <summary>A finding's value with its unit.</summary>
    public static string Measured(Finding finding) => finding.Measured is { } value ? Show(value, finding.Unit) : "not found";

    /// <summary>A value with its unit.</summary>
    public static string Show(double value, string unit) =>
        double.IsNaN(value) ? "not found"
        : double.IsNegativeInfinity(value) ? "silent"
        : unit.StartsWith("dB", StringComparison.Ordinal) && value < RoundingDb ? $"below {Text(RoundingDb, 0)} {unit}"
        : $"{Text(value, Places(unit))} {unit}";

    /// <summary>The least and the most of some findings of one unit.</summary>
    public static string Range(IReadOnlyCollection<Finding> findings)
    {
        var known = findings.Where(finding => finding.Measured is { } value && !double.IsNaN(value)).ToList();
        if (known.Count == 0)
        {
            return "not found";
        }

        var unit = known[0].Unit;
        var (lowest, highest) = (Show(known.Min(finding => finding.Measured!.Value), unit), Show(known.Max(finding => finding.Measured!.Value), unit));
        var range = lowest == highest ? lowest
            : lowest.EndsWith(unit, StringComparison.Ordinal) ? $"{lowest[..^unit.Length].TrimEnd()} to {highest}"
            : $"{lowest} to {highest}";
        return known.Count == findings.Count ? range : $"{range}; {findings.Count - known.Count} not found";
    }

    /// <summary>A frequency, e.g. "1000 Hz"; empty without one.</summary>
    public static string Hertz(double? hertz) => hertz is { } value ? $"{Text(value, 0)} Hz" : string.Empty;

    /// <summary>A count with its thousands apart.</summary>
    public static string Count(int count) => count.ToString("N0", CultureInfo.InvariantCulture);

    /// <summary>A number with so many places at the most.</summary>
    public static string Text(double value, int places) => (Math.Round(value, places) + 0.0).ToString($"F{places}", CultureInfo.InvariantCulture);

    private static int Places(string unit) => unit switch
    {
        "ms" => 1,
        "octaves" => 3,
        "%" or "% off" or "Hz" or "dB" or "dB off" => 2,
        _ => 1,
    };
}
