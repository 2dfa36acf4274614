namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Finds where a marker of noise lies in a recording.</summary>
internal static class LoopAlignment
{
    /// <summary>Least share of the recording's power around it that the marker must explain (design): less is another sound.</summary>
    private const double LeastMatch = 0.5;

    /// <summary>Place of the marker's first sample in the recording; absent when it is not in it.</summary>
    public static int? Find(ReadOnlySpan<float> recording, ReadOnlySpan<float> marker)
    {
        // the marker is louder than anything before it: its neighbourhood is where the power is
        var from = Math.Max(0, Loudest(recording, marker.Length) - marker.Length);
        var to = Math.Min(recording.Length - marker.Length, from + (2 * marker.Length));
        var (best, place) = (0.0, (int?)null);
        var own = Dot(marker, marker);
        for (var at = from; at <= to; at++)
        {
            var part = recording.Slice(at, marker.Length);
            var match = Dot(part, marker);
            var power = Dot(part, part);
            var share = power > 0 ? match * match / (power * own) : 0;
            if (share > best)
            {
                (best, place) = (share, at);
            }
        }

        return best >= LeastMatch ? place : null;
    }

    private static int Loudest(ReadOnlySpan<float> recording, int length)
    {
        var (sum, best, place) = (0.0, 0.0, 0);
        for (var n = 0; n < recording.Length; n++)
        {
            sum += (double)recording[n] * recording[n];
            if (n >= length)
            {
                sum -= (double)recording[n - length] * recording[n - length];
            }

            if (sum > best)
            {
                (best, place) = (sum, Math.Max(0, n - length + 1));
            }
        }

        return place;
    }

    private static double Dot(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        var sum = System.Numerics.Vector<float>.Zero;
        var width = System.Numerics.Vector<float>.Count;
        var n = 0;
        for (; n + width <= a.Length; n += width)
        {
            sum += new System.Numerics.Vector<float>(a[n..]) * new System.Numerics.Vector<float>(b[n..]);
        }

        double rest = System.Numerics.Vector.Sum(sum);
        for (; n < a.Length; n++)
        {
            rest += (double)a[n] * b[n];
        }

        return rest;
    }
}
