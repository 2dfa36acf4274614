using System.Globalization;
using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Audiology.Tests.Acoustics;

public sealed class WeightingTests
{
    private const int SampleRateHz = 48_000;

    public static TheoryData<double, double, double> Table
    {
        get
        {
            var table = new TheoryData<double, double, double>();
            var index = -20;
            foreach (var cells in File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Acoustics", "Data", "iec_61672_1_weightings.csv")).Skip(2).Select(line => line.Split(',')))
            {
                // the exact base-ten frequency that the table's nominal one stands for
                table.Add(1000 * Math.Pow(10, index++ / 10.0), double.Parse(cells[1], CultureInfo.InvariantCulture), double.Parse(cells[2], CultureInfo.InvariantCulture));
            }

            return table;
        }
    }

    [Fact]
    public void ThePolesAreThoseOfTheStandard()
    {
        // IEC 61672-1: 20.60, 107.7, 737.9 and 12 194 Hz.
        Assert.Equal((20.60, 107.7, 737.9, 12_194), (Math.Round(WeightingCurves.F1, 2), Math.Round(WeightingCurves.F2, 1), Math.Round(WeightingCurves.F3, 1), Math.Round(WeightingCurves.F4)));
        Assert.Equal(34, Table.Count);
    }

    [Theory]
    [MemberData(nameof(Table))]
    public void TheFormulaGivesThePrintedTable(double hertz, double a, double c)
    {
        Assert.Equal(a, Math.Round(WeightingCurves.Db(FrequencyWeighting.A, hertz), 1), 1e-9);
        Assert.Equal(c, Math.Round(WeightingCurves.Db(FrequencyWeighting.C, hertz), 1), 1e-9);
        Assert.Equal(0, WeightingCurves.Db(FrequencyWeighting.Z, hertz));
    }

    [Theory]
    [MemberData(nameof(Table))]
    public void TheFilterFollowsTheFormulaAndTheTable(double hertz, double a, double c)
    {
        foreach (var (weighting, printed) in new[] { (FrequencyWeighting.A, a), (FrequencyWeighting.C, c), (FrequencyWeighting.Z, 0) })
        {
            var db = 20 * Math.Log10(new WeightingFilter(weighting, SampleRateHz).Response(hertz, SampleRateHz).Magnitude);
            Assert.Equal(WeightingCurves.Db(weighting, hertz), db, 0.02);
            Assert.Equal(printed, db, 0.1);
        }
    }

    [Theory]
    [MemberData(nameof(Table))]
    public void AToneThroughTheMeterReadsTheTable(double hertz, double a, double c)
    {
        foreach (var (weighting, printed) in new[] { (FrequencyWeighting.A, a), (FrequencyWeighting.C, c), (FrequencyWeighting.Z, 0) })
        {
            var meter = new SoundLevelMeter(weighting, SampleRateHz, 120);

            // whole periods of the tone, as nearly as samples allow
            var frames = (int)Math.Round(Math.Round(hertz) / hertz * SampleRateHz);
            var tone = Enumerable.Range(0, 2 * frames).Select(i => (float)(0.9 * Math.Sqrt(2) / 2 * Math.Sin(Math.Tau * hertz * i / SampleRateHz))).ToArray();
            meter.Add(tone.AsSpan(0, frames));
            meter.Restart();
            meter.Add(tone.AsSpan(frames));

            Assert.Equal(120 + (20 * Math.Log10(0.45)) + printed, meter.Result()!.EquivalentDb, 0.1);
        }
    }

    [Theory]
    [InlineData(44_100)]
    [InlineData(96_000)]
    public void OtherRatesFollowTheFormulaToo(int rate)
    {
        foreach (var hertz in new double[] { 10, 100, 1000, 5000, 10_000, 12_589, 15_849 })
        {
            var db = 20 * Math.Log10(new WeightingFilter(FrequencyWeighting.A, rate).Response(hertz, rate).Magnitude);
            Assert.Equal(WeightingCurves.Db(FrequencyWeighting.A, hertz), db, 0.05);
        }
    }
}
