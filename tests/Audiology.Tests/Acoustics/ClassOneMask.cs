using System.Globalization;

namespace TeleHearing.Audiology.Tests.Acoustics;

/// <summary>The limits of IEC 61260-1:2014 on the relative attenuation of a class 1 filter (Data/iec_61260_1_class_1.csv).</summary>
internal sealed class ClassOneMask
{
    private const double G = 1.9952623149688795;
    private readonly Breakpoint[] _points;

    /// <param name="bandsPerOctave">1 for octaves, 3 for third-octaves.</param>
    public ClassOneMask(int bandsPerOctave)
    {
        // From the octave's breakpoints to those of a fraction 1/b: 1 + (G^(1/2b) - 1) / (G^(1/2) - 1) * (G^x - 1) (IEC 61260-1:2014; confirmed by two public transcriptions).
        var scale = (Math.Pow(G, 0.5 / bandsPerOctave) - 1) / (Math.Sqrt(G) - 1);
        _points = [.. Rows().Select(row => row with { Ratio = 1 + (scale * (Math.Pow(G, row.Exponent) - 1)) })];
    }

    /// <summary>Every specified point: frequency over mid-band frequency, on both sides, with its limits. A frequency on the edge has those of both sides.</summary>
    public IEnumerable<(double Ratio, double MinimumDb, double MaximumDb)> SpecifiedPoints() => _points
        .Select(point => point.Side.Length == 0 ? point : point with { Ratio = point.Ratio * (point.Side == "above" ? 1 + 1e-9 : 1 - 1e-9) })
        .SelectMany(point => new[] { (point.Ratio, point.MinimumDb, point.MaximumDb), (1 / point.Ratio, point.MinimumDb, point.MaximumDb) });

    /// <summary>The limits anywhere: between the points along straight lines over the logarithm of frequency, beyond the last as at the last.</summary>
    public (double MinimumDb, double MaximumDb) At(double ratio)
    {
        var above = ratio < 1 ? 1 / ratio : ratio;
        if (above >= _points[^1].Ratio)
        {
            return (_points[^1].MinimumDb, _points[^1].MaximumDb);
        }

        var upper = Array.FindIndex(_points, point => point.Ratio > above);
        var (low, high) = (_points[upper - 1], _points[upper]);
        var part = Math.Log(above / low.Ratio) / Math.Log(high.Ratio / low.Ratio);
        return (low.MinimumDb + (part * (high.MinimumDb - low.MinimumDb)), double.IsInfinity(high.MaximumDb) ? high.MaximumDb : low.MaximumDb + (part * (high.MaximumDb - low.MaximumDb)));
    }

    private static IEnumerable<Breakpoint> Rows() => File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Acoustics", "Data", "iec_61260_1_class_1.csv"))
        .Skip(2)
        .Select(line => line.Split(','))
        .Select(cells => new Breakpoint(Number(cells[0]), cells[1], Number(cells[2]), cells[3].Length == 0 ? double.PositiveInfinity : Number(cells[3]), 0));

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private sealed record Breakpoint(double Exponent, string Side, double MinimumDb, double MaximumDb, double Ratio);
}
