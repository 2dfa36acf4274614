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
/// <remarks>
/// The tone is brought down to 0 Hz and averaged under a raised cosine over one and a half of its periods, 1 ms at the least: the image at twice the tone then falls on a zero of the window
/// or, where the period is no whole number of samples, 80 dB down, so that every frequency can be timed. Averaging makes a ramp read longer (handbook: by the curvature of the ramp times half
/// the variance of the window): one of 20.3 ms by 0.6 ms at 125 Hz, 0.2 ms at 250 Hz and less than 0.05 ms from 500 Hz on.
/// </remarks>
public static class ToneEnvelope
{
    private const double WindowPeriods = 1.5;
    private const double ShortestWindowMs = 1;

    /// <summary>The envelope, one value a sample; as long as the recording less the window.</summary>
    /// <param name="samples">Recording.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="toneHz">Frequency of the tone in Hz.</param>
    public static double[] Of(ReadOnlySpan<float> samples, double sampleRateHz, double toneHz)
    {
        var length = (int)Math.Round(Math.Max(WindowPeriods / toneHz, ShortestWindowMs / 1000) * sampleRateHz);
        var window = new double[length];
        for (var n = 0; n < length; n++)
        {
            window[n] = (1 - Math.Cos(Math.Tau * (n + 0.5) / length)) / length;
        }

        var (cosines, sines) = (new double[samples.Length], new double[samples.Length]);
        var turn = Math.Tau * toneHz / sampleRateHz;
        for (var n = 0; n < samples.Length; n++)
        {
            var (s, c) = Math.SinCos(turn * n);
            (cosines[n], sines[n]) = (samples[n] * c, samples[n] * s);
        }

        var envelope = new double[Math.Max(0, samples.Length - length)];
        for (var at = 0; at < envelope.Length; at++)
        {
            envelope[at] = 2 * double.Hypot(WindowSum.Of(window, cosines.AsSpan(at, length)), WindowSum.Of(window, sines.AsSpan(at, length)));
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
