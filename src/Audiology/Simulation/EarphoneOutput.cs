namespace TeleHearing.Audiology.Simulation;

/// <summary>What the simulated earphone truly gives: the listener's own knowledge, to be kept apart from any calibration record.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="FrequencyHz">Frequency in Hz. Between the given ones the output is interpolated over the logarithm of frequency, beyond them it stays level.</param>
/// <param name="SplAtPeakFullScaleDb">Sound pressure level in the coupler of a sine whose peak is digital 1.0, dB re 20 µPa.</param>
public sealed record EarphoneOutput(Ear Ear, double FrequencyHz, double SplAtPeakFullScaleDb)
{
    /// <summary>The same output at every frequency and on both ears.</summary>
    public static IReadOnlyList<EarphoneOutput> Flat(double splAtPeakFullScaleDb) =>
        [new(Ear.Right, 1000, splAtPeakFullScaleDb), new(Ear.Left, 1000, splAtPeakFullScaleDb)];
}
