namespace TeleHearing.Audiology.Acoustics;

/// <summary>Times and heights of one burst of a tone.</summary>
/// <param name="RiseMs">From -20 dB to -1 dB of the plateau, ms.</param>
/// <param name="FallMs">From -1 dB to -20 dB, ms.</param>
/// <param name="OnMs">Between the -5 dB points, ms.</param>
/// <param name="PlateauMs">Between the -1 dB points, ms.</param>
/// <param name="OvershootDb">Highest point over the plateau, dB.</param>
/// <param name="StartFrame">Frame of the first -5 dB point.</param>
/// <param name="EndFrame">Frame of the second -5 dB point.</param>
public sealed record BurstTimes(double RiseMs, double FallMs, double OnMs, double PlateauMs, double OvershootDb, double StartFrame, double EndFrame);

/// <summary>The envelope of a recorded tone, and the times in it that IEC 60645-1 limits.</summary>
/// <remarks>The tone is brought down to 0 Hz and averaged over one of its periods, so that a ramp of some ten periods is followed to about a period.</remarks>
public static class ToneEnvelope
{
    /// <summary>The envelope, one value a sample; as long as the recording less one period.</summary>
    /// <param name="samples">Recording.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="toneHz">Frequency of the tone in Hz; best one whose period is a whole number of samples.</param>
    public static double[] Of(ReadOnlySpan<float> samples, double sampleRateHz, double toneHz)
    {
        var period = (int)Math.Round(sampleRateHz / toneHz);
        var envelope = new double[Math.Max(0, samples.Length - period)];
        var turn = Math.Tau * toneHz / sampleRateHz;
        for (var at = 0; at < envelope.Length; at++)
        {
            double re = 0, im = 0;
            for (var n = at; n < at + period; n++)
            {
                var (s, c) = Math.SinCos(turn * n);
                re += samples[n] * c;
                im += samples[n] * s;
            }

            envelope[at] = 2 * Math.Sqrt((re * re) + (im * im)) / period;
        }

        return envelope;
    }

    /// <summary>Every burst in an envelope that reaches -1 dB of its plateau.</summary>
    /// <param name="envelope">Envelope.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="plateau">Height of the plateau.</param>
    public static IReadOnlyList<BurstTimes> Bursts(ReadOnlySpan<double> envelope, double sampleRateHz, double plateau)
    {
        var bursts = new List<BurstTimes>();
        var (low, half, high) = (plateau * Ratio(-20), plateau * Ratio(-5), plateau * Ratio(-1));
        var at = 0;
        while (Crossing(envelope, at, half, rising: true) is { } start && Crossing(envelope, (int)start + 1, half, rising: false) is { } end)
        {
            var lowBefore = CrossingBefore(envelope, (int)start, low);
            var lowAfter = Crossing(envelope, (int)end, low, rising: false);
            var highUp = Crossing(envelope, (int)start, high, rising: true);
            var highDown = CrossingBefore(envelope, (int)end, high);
            at = (int)end + 1;
            if (lowBefore is null || lowAfter is null || highUp is null || highDown is null)
            {
                continue;
            }

            var peak = 0.0;
            foreach (var value in envelope[(int)start..(int)end])
            {
                peak = Math.Max(peak, value);
            }

            var ms = 1000 / sampleRateHz;
            bursts.Add(new BurstTimes(
                (highUp.Value - lowBefore.Value) * ms,
                (lowAfter.Value - highDown.Value) * ms,
                (end - start) * ms,
                (highDown.Value - highUp.Value) * ms,
                20 * Math.Log10(peak / plateau),
                start,
                end));
        }

        return bursts;
    }

    private static double Ratio(double decibels) => Math.Pow(10, decibels / 20);

    private static double? Crossing(ReadOnlySpan<double> envelope, int from, double height, bool rising)
    {
        for (var n = Math.Max(1, from); n < envelope.Length; n++)
        {
            if (rising ? envelope[n - 1] < height && envelope[n] >= height : envelope[n - 1] >= height && envelope[n] < height)
            {
                return n - 1 + ((height - envelope[n - 1]) / (envelope[n] - envelope[n - 1]));
            }
        }

        return null;
    }

    /// <summary>The last crossing in either direction up to a place.</summary>
    private static double? CrossingBefore(ReadOnlySpan<double> envelope, int until, double height)
    {
        for (var n = Math.Min(until, envelope.Length - 1); n >= 1; n--)
        {
            if (envelope[n - 1] < height != envelope[n] < height)
            {
                return n - 1 + ((height - envelope[n - 1]) / (envelope[n] - envelope[n - 1]));
            }
        }

        return null;
    }
}
