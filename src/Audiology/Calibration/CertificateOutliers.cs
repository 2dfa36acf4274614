using System.Globalization;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>Points of a certificate that do not go with the rest of it: a slip of the pen, or a channel that is not as it should be.</summary>
/// <remarks>
/// The level of a tone is set from the sound pressure level at digital full scale, so a value that is 20 dB too low makes that tone 20 dB too loud, and the kit's ceilings, which are in
/// dB HL, do not see it. A record before would show the jump; a first record has none, so the record is held against itself. What stands out may be true, and so it is asked about, not refused.
/// </remarks>
internal static class CertificateOutliers
{
    /// <summary>Two channels of one unit with earphones of one pair differ by no more at one frequency, dB. A design choice: three times the 3 dB either may be off by (IEC 60645-1, as quoted in ISO 8253-1:2010, A.3.3; second hand), and a little.</summary>
    public const double BetweenEarsDb = 10;

    /// <summary>A point lies no farther from the line through its neighbours of the same ear, over the logarithm of frequency, dB. A design choice: earphones have peaks and roll off, half an octave apart by less than this.</summary>
    public const double FromNeighboursDb = 15;

    /// <summary>Said once, under the last of the two.</summary>
    private const string Consequence = " Where a value is too low by mistake, every tone is too loud by as much. Compare with the printed certificate, and ask the laboratory when it says the same.";

    /// <summary>What stands out, a sentence for each of the two comparisons; empty when nothing does.</summary>
    public static IEnumerable<string> Questions(IReadOnlyDictionary<(Ear Ear, int Hertz), double> points)
    {
        var ears = BetweenEars(points).ToList();
        var neighbours = new[] { Ear.Right, Ear.Left }.SelectMany(ear => FromNeighbours(points, ear)).ToList();
        if (ears.Count > 0)
        {
            yield return $"The ears differ by more than {BetweenEarsDb} dB: {string.Join("; ", ears)}.{(neighbours.Count == 0 ? Consequence : string.Empty)}";
        }

        if (neighbours.Count > 0)
        {
            yield return $"Points lie more than {FromNeighboursDb} dB off the line through their neighbours: {string.Join("; ", neighbours)}.{Consequence}";
        }
    }

    private static IEnumerable<string> BetweenEars(IReadOnlyDictionary<(Ear Ear, int Hertz), double> points) =>
        from hertz in points.Keys.Select(point => point.Hertz).Distinct().Order()
        where points.ContainsKey((Ear.Right, hertz)) && points.ContainsKey((Ear.Left, hertz))
        let right = points[(Ear.Right, hertz)]
        let left = points[(Ear.Left, hertz)]
        where Math.Abs(right - left) > BetweenEarsDb + LevelChain.RoundingDb
        select string.Create(CultureInfo.InvariantCulture, $"{hertz} Hz, right {right:0.0} dB and left {left:0.0} dB");

    /// <summary>The worst point is named and left out before the others are looked at again, for it pulls the line of its neighbours with it. The lowest and highest frequency have a neighbour on one side only and are held against the other ear alone.</summary>
    private static IEnumerable<string> FromNeighbours(IReadOnlyDictionary<(Ear Ear, int Hertz), double> points, Ear ear)
    {
        var row = points.Where(point => point.Key.Ear == ear).Select(point => (point.Key.Hertz, Db: point.Value)).OrderBy(point => point.Hertz).ToList();
        var found = new List<(int Hertz, string Words)>();
        while (row.Count > 2)
        {
            var worst = Enumerable.Range(1, row.Count - 2).MaxBy(index => Math.Abs(Off(row, index)));
            var off = Off(row, worst);
            if (Math.Abs(off) <= FromNeighboursDb + LevelChain.RoundingDb)
            {
                break;
            }

            found.Add((row[worst].Hertz, string.Create(CultureInfo.InvariantCulture, $"{(ear == Ear.Right ? "right" : "left")} {row[worst].Hertz} Hz, {row[worst].Db:0.0} dB, is {Math.Abs(off):0.0} dB {(off < 0 ? "below" : "above")}")));
            row.RemoveAt(worst);
        }

        return found.OrderBy(point => point.Hertz).Select(point => point.Words);
    }

    private static double Off(List<(int Hertz, double Db)> row, int index)
    {
        var (before, here, after) = (row[index - 1], row[index], row[index + 1]);
        var share = Math.Log((double)here.Hertz / before.Hertz) / Math.Log((double)after.Hertz / before.Hertz);
        return here.Db - (before.Db + (share * (after.Db - before.Db)));
    }
}
