namespace TeleHearing.Audiology.Signals;

/// <summary>Times of rise, fall and pulses.</summary>
/// <remarks>
/// A raised-cosine ramp a(t) = (1 - cos(pi t / T)) / 2 passes -20 dB at 0.2048 T and -1 dB at 0.7861 T: T = 35 ms takes 20.3 ms from one to the other,
/// where IEC 60645-1 asks for at least 20 ms and, for pulses, at most 50 ms (from memory). Pulses are on 225 ms and off 225 ms between their -5 dB points
/// (IEC 60645-1, from memory), so that each is a little longer than 225 ms from first to last sample.
/// </remarks>
public static class PulsePattern
{
    /// <summary>Length of the rise and of the fall in ms.</summary>
    public const double RampMs = 35;

    /// <summary>Time on between -5 dB points in ms.</summary>
    public const double OnMs = 225;

    /// <summary>Time off between -5 dB points in ms.</summary>
    public const double OffMs = 225;

    /// <summary>Time from the first sample of a ramp to its -5 dB point in ms.</summary>
    public static double RampToMinusFiveDbMs { get; } = RampMs * Math.Acos(1 - (2 * Math.Pow(10, -5.0 / 20))) / Math.PI;

    /// <summary>Length of one pulse from first to last sample in ms.</summary>
    public static double PulseMs { get; } = OnMs + (2 * RampToMinusFiveDbMs);

    /// <summary>From the start of one pulse to the start of the next in ms.</summary>
    public const double PeriodMs = OnMs + OffMs;

    /// <summary>How many whole pulses fit into a length in ms; one at least.</summary>
    internal static int WholePulses(double durationMs) => Math.Max(1, (int)Math.Floor((durationMs - PulseMs) / PeriodMs) + 1);
}
