using System.Collections.Frozen;
using System.Globalization;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>Thresholds of otologically screened people by age and sex (ISO 7029:2017, Tables 1 to 5), 125 Hz to 8 kHz.</summary>
/// <remarks>
/// <para>The median is a (age - 18)^b; the spreads are polynomials of the fifth degree in (age - 18). Above 2 kHz the standard gives ages over 70 for information only, and
/// there the spreads of the worse half collapse (men of 80 at 8 kHz: 1.3 dB). So above 2 kHz the spreads of ages over 70 are those of 70; the medians are left as they are.</para>
/// <para>People who come to a clinic hear worse than the screened ones of the standard, and values of ISO 7029:2000 differ by up to 8 dB: name the edition with a result.</para>
/// </remarks>
public static class AgeThresholds
{
    /// <summary>Youngest age, years.</summary>
    public const double YoungestYears = 18;

    /// <summary>Oldest age, years.</summary>
    public const double OldestYears = 80;

    /// <summary>The edition, to be named beside every result.</summary>
    public const string Edition = "ISO 7029:2017";

    private const int OldestForSpreadsYears = 70;
    private const int SpreadsHoldForAllAgesUpToHz = 2000;
    private static readonly FrozenDictionary<(Sex, int), Coefficients> _coefficients = Load();

    /// <summary>What is expected at an age.</summary>
    /// <param name="sex">Sex.</param>
    /// <param name="ageYears">Age in years, 18 to 80; fractions count.</param>
    /// <param name="frequency">Frequency of the conventional range.</param>
    /// <exception cref="ArgumentOutOfRangeException">The standard says nothing about this age, sex or frequency.</exception>
    public static AgeThreshold For(Sex sex, double ageYears, AudiometricFrequency frequency)
    {
        if (!(ageYears is >= YoungestYears and <= OldestYears))
        {
            throw new ArgumentOutOfRangeException(nameof(ageYears), ageYears, $"{Edition} holds for ages of {YoungestYears} to {OldestYears} years. Leave the age out.");
        }

        return TryFor(sex, ageYears, frequency, out var expected)
            ? expected
            : throw new ArgumentOutOfRangeException(nameof(frequency), frequency, $"{Edition} has nothing for {sex} at {frequency}; it covers 125 to 8000 Hz.");
    }

    /// <summary>What is expected at an age, when the standard covers it.</summary>
    /// <param name="sex">Sex.</param>
    /// <param name="ageYears">Age in years.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="expected">Median and spreads.</param>
    /// <returns>False outside 18 to 80 years (or for an age that is no number) and above 8 kHz.</returns>
    public static bool TryFor(Sex sex, double ageYears, AudiometricFrequency frequency, [System.Diagnostics.CodeAnalysis.NotNullWhen(true)] out AgeThreshold? expected)
    {
        expected = ageYears is >= YoungestYears and <= OldestYears && _coefficients.TryGetValue((sex, frequency.Hertz), out var found)
            ? found.At(ageYears, frequency.Hertz > SpreadsHoldForAllAgesUpToHz ? Math.Min(ageYears, OldestForSpreadsYears) : ageYears)
            : null;
        return expected is not null;
    }

    private static FrozenDictionary<(Sex, int), Coefficients> Load() =>
        EmbeddedTable.Read("iso_7029_2017_coefficients.csv").Rows.ToFrozenDictionary(
            row => (row.Text("sex") == "male" ? Sex.Male : Sex.Female, (int)row.Number("frequency_hz")),
            row => new Coefficients(row.Number("a"), row.Number("b"), Polynomial(row, "su"), Polynomial(row, "sl")));

    private static double[] Polynomial(EmbeddedTable.Row row, string name) =>
        [.. Enumerable.Range(0, 6).Select(power => row.Number(string.Create(CultureInfo.InvariantCulture, $"{name}_c{power}")))];

    private sealed record Coefficients(double A, double B, double[] Worse, double[] Better)
    {
        public AgeThreshold At(double ageYears, double ageForSpreads) => new(
            A * Math.Pow(ageYears - YoungestYears, B),
            Value(Worse, ageForSpreads - YoungestYears),
            Value(Better, ageForSpreads - YoungestYears));

        private static double Value(double[] polynomial, double years)
        {
            var sum = 0.0;
            for (var power = polynomial.Length - 1; power >= 0; power--)
            {
                sum = (sum * years) + polynomial[power];
            }

            return sum;
        }
    }
}
