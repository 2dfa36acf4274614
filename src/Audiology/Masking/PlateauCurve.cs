namespace TeleHearing.Audiology.Masking;

/// <summary>Reads a masking curve: the threshold of the tone against the level of the masker.</summary>
/// <remarks>
/// While the other ear still answers, the threshold rises decibel for decibel with the masker. Where the ear under test answers it stands still: the plateau
/// (Hood 1960). Where the masker reaches the ear under test it rises again. A rising curve is never a threshold.
/// </remarks>
internal static class PlateauCurve
{
    /// <summary>Spread within which the threshold counts as standing still, dB: one step, which central masking too may take.</summary>
    public const double StandsWithinDb = 5;

    /// <summary>The level of the plateau that the last points form, dB HL, if they do.</summary>
    /// <param name="points">Points in the order in which they were found, the masker rising.</param>
    /// <param name="riseDb">Rise of the masker that they must span.</param>
    public static double? PlateauDbHl(IReadOnlyList<PlateauPoint> points, double riseDb)
    {
        if (points.Count == 0)
        {
            return null;
        }

        var end = points[^1];
        var (lowest, highest, sum, count) = (end.ToneDbHl, end.ToneDbHl, 0.0, 0);
        for (var i = points.Count - 1; i >= 0; i--)
        {
            var point = points[i];
            lowest = Math.Min(lowest, point.ToneDbHl);
            highest = Math.Max(highest, point.ToneDbHl);
            sum += point.ToneDbHl;
            count++;
            if (highest - lowest > StandsWithinDb)
            {
                return null;
            }

            if (end.MaskerDbEm - point.MaskerDbEm >= riseDb)
            {
                // Of two levels the one found more often; as often, the poorer, since the other ear can only make it better.
                return sum / count >= (lowest + highest) / 2 ? highest : lowest;
            }
        }

        return null;
    }

    /// <summary>Level of the masker at which the plateau that the last points form begins, dB EM.</summary>
    /// <inheritdoc cref="PlateauDbHl"/>
    public static double BeginDbEm(IReadOnlyList<PlateauPoint> points, double riseDb) =>
        points.Last(point => points[^1].MaskerDbEm - point.MaskerDbEm >= riseDb).MaskerDbEm;

    /// <summary>The highest threshold, at the end of a plateau or above, that still counts as standing with every point of it, dB HL.</summary>
    /// <inheritdoc cref="PlateauDbHl"/>
    public static double HighestStandingDbHl(IReadOnlyList<PlateauPoint> points, double riseDb)
    {
        var lowest = points[^1].ToneDbHl;
        for (var i = points.Count - 1; i >= 0; i--)
        {
            lowest = Math.Min(lowest, points[i].ToneDbHl);
            if (points[^1].MaskerDbEm - points[i].MaskerDbEm >= riseDb)
            {
                break;
            }
        }

        return lowest + StandsWithinDb;
    }
}
