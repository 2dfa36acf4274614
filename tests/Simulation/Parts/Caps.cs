using TeleHearing.Contracts;

namespace TeleHearing.Simulation.Parts;

/// <summary>How loud an order lets a kit be, from the numbers of the simulated unit and the standard alone.</summary>
internal static class Caps
{
    /// <summary>Sound pressure level at full scale of the simulated unit's weaker channel, dB re 20 µPa (its certificate).</summary>
    private const double SplAtFullScaleDb = 130;

    /// <summary>Reference threshold of circumaural earphones, dB SPL, the highest of the frequencies tested here (ISO 389-8:2004, Table 1: 11.0 at 500 Hz, 5.5 at 1000 Hz, 4.5 at 2000 Hz, 9.5 at 4000 Hz).</summary>
    private const double HighestReferenceDb = 11;

    /// <summary>Rounding of levels on their way to samples, dB.</summary>
    private const double RoundingDb = 0.1;

    /// <summary>Highest peak a sample may have.</summary>
    public static float PeakOf(StepOrder order) => (float)Math.Pow(10, (order.MaximumLevelDbHl + HighestReferenceDb + RoundingDb - SplAtFullScaleDb) / 20);
}
