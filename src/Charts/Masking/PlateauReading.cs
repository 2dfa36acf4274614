using TeleHearing.Audiology.Masking;

namespace TeleHearing.Charts;

/// <summary>What a point of a masking curve belongs to.</summary>
public enum PlateauPhase
{
    /// <summary>Before a plateau: the tone rises with the masker, the other ear still answers.</summary>
    UnderMasked,

    /// <summary>On the plateau.</summary>
    Plateau,

    /// <summary>Beyond the plateau: the masker has reached the ear under test.</summary>
    OverMasked,

    /// <summary>There is no plateau, or none yet.</summary>
    Open,
}

/// <summary>The stretch over which the tone stood still.</summary>
/// <param name="First">Index of its first point.</param>
/// <param name="Last">Index of its last point.</param>
/// <param name="LevelDbHl">Level at which it stood: the one found most often, of two found as often the poorer.</param>
/// <param name="RiseDb">Rise of the masker meanwhile.</param>
public sealed record PlateauStand(int First, int Last, double LevelDbHl, double RiseDb);

/// <summary>A masking curve as it is looked at: the undermasked slope, the plateau and the overmasked rise.</summary>
/// <param name="Points">Points that can be drawn, in order.</param>
/// <param name="Stand">Where the tone stood still, if it did.</param>
/// <param name="IsPlateau">Whether the stand is a plateau: by the verdict, or, while there is none, because it is long enough.</param>
public sealed record PlateauReading(IReadOnlyList<PlateauPoint> Points, PlateauStand? Stand, bool IsPlateau)
{
    /// <summary>Spread within which the tone counts as standing still, dB: one step of the tone, which central masking too may take.</summary>
    private const double StandsWithinDb = 5;

    /// <summary>Rise of the masker below which a pair of points says nothing of standing still, dB: a slope of 1 dB per dB would stay within 5 dB over 5.</summary>
    private const double TellingRiseDb = 10;

    /// <summary>Reads a curve.</summary>
    public static PlateauReading Of(MaskingPlateau plateau)
    {
        List<PlateauPoint> points = [.. plateau.Points.Where(point => double.IsFinite(point.MaskerDbEm) && double.IsFinite(point.ToneDbHl))];
        if (plateau.Verdict == MaskingVerdict.Plateau)
        {
            var last = plateau.FinalDbEm is { } final ? points.FindLastIndex(point => point.MaskerDbEm <= final) : points.Count - 1;
            return last < 0 ? new PlateauReading(points, null, IsPlateau: false) : new PlateauReading(points, Back(points, last, plateau.AcceptRiseDb), IsPlateau: true);
        }

        // A plateau that was left again counts as well as one that is reached only now.
        var stands = Enumerable.Range(0, points.Count).Reverse().Select(end => Back(points, end, plateau.AcceptRiseDb)).ToList();
        var enough = stands.Find(stand => stand.RiseDb >= plateau.AcceptRiseDb);
        var shown = enough ?? stands.Take(1).FirstOrDefault(stand => stand.RiseDb >= TellingRiseDb);
        return new PlateauReading(points, shown, IsPlateau: plateau.Verdict is null && enough is not null);
    }

    /// <summary>What the point with an index belongs to.</summary>
    public PlateauPhase PhaseOf(int index) => Stand is not { } stand || !IsPlateau ? PlateauPhase.Open
        : index < stand.First ? PlateauPhase.UnderMasked
        : index > stand.Last ? PlateauPhase.OverMasked
        : PlateauPhase.Plateau;

    /// <summary>The stand that ends with a point: as far back as the tone stayed within 5 dB while the masker did not fall.</summary>
    private static PlateauStand Back(List<PlateauPoint> points, int end, double acceptRiseDb)
    {
        var (first, lowest, highest) = (end, points[end].ToneDbHl, points[end].ToneDbHl);
        for (var index = end - 1; index >= 0; index--)
        {
            lowest = Math.Min(lowest, points[index].ToneDbHl);
            highest = Math.Max(highest, points[index].ToneDbHl);
            if (highest - lowest > StandsWithinDb || points[index].MaskerDbEm > points[index + 1].MaskerDbEm)
            {
                break;
            }

            first = index;
        }

        var level = points[first..(end + 1)].GroupBy(point => point.ToneDbHl).OrderByDescending(group => group.Count()).ThenByDescending(group => group.Key).First().Key;

        // The last step of the slope lies within 5 dB of the plateau without being part of it.
        while (points[first].ToneDbHl < level && points[end].MaskerDbEm - points[first + 1].MaskerDbEm >= acceptRiseDb)
        {
            first++;
        }

        return new PlateauStand(first, end, level, points[end].MaskerDbEm - points[first].MaskerDbEm);
    }
}
