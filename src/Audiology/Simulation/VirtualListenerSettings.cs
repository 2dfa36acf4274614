using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Simulation;

/// <summary>A simulated person under simulated earphones.</summary>
/// <param name="Rows">True thresholds; at least one for each ear. Between the given frequencies they are interpolated over the logarithm of frequency, beyond them they stay level.</param>
/// <param name="TransducerKind">Kind of earphone worn.</param>
/// <param name="Coupler">Coupler to which <paramref name="Output"/> refers.</param>
/// <param name="Output">What the earphones truly give.</param>
/// <param name="Seed">Seed of every chance event.</param>
public sealed record VirtualListenerSettings(
    IReadOnlyList<ListenerThreshold> Rows,
    TransducerKind TransducerKind,
    Coupler Coupler,
    IReadOnlyList<EarphoneOutput> Output,
    int Seed)
{
    /// <summary>Sample rate in Hz.</summary>
    public int SampleRateHz { get; init; } = 48_000;

    /// <summary>Spread of the psychometric function in dB; 2 dB is an assumption in the range of simulation studies (1 to 4 dB).</summary>
    public double SlopeSdDb { get; init; } = 2;

    /// <summary>Chance of missing a presentation however loud, 0 to 1.</summary>
    public double LapseRate { get; init; }

    /// <summary>Presses without cause, on average per minute of listening.</summary>
    public double FalseAlarmsPerMinute { get; init; }

    /// <summary>Median of the reaction time in ms, from the onset of the tone. An assumption.</summary>
    public double ReactionMedianMs { get; init; } = 380;

    /// <summary>Spread of the natural logarithm of the reaction time. An assumption.</summary>
    public double ReactionLogSd { get; init; } = 0.2;

    /// <summary>Median of the time the button is held in ms. An assumption.</summary>
    public double PressMedianMs { get; init; } = 250;

    /// <summary>Sound pressure level that a room signal of root mean square 1 stands for, dB re 20 µPa.</summary>
    public double RoomSplAtRmsOneDb { get; init; } = 120;

    /// <summary>Force level that the simulated vibrator truly gives for a sine whose peak is digital 1.0, dB re 1 µN, in <see cref="EarphoneOutput.SplAtPeakFullScaleDb"/>; empty when there is no vibrator.</summary>
    public IReadOnlyList<EarphoneOutput> VibratorOutput { get; init; } = [];

    /// <summary>How much of a bone-conducted tone is lost on its way to the other cochlea, by frequency in Hz, dB; absent for 0 at every frequency, the clinical rule. Measured about 0 dB at 250 Hz to 15 at 4 kHz (Studebaker 1967, from memory).</summary>
    public IReadOnlyDictionary<int, double>? BoneInterauralAttenuationDb { get; init; }

    /// <summary>Occlusion effect of the masking earphone by frequency in Hz, dB; absent for the usual one (<see cref="OcclusionEffect"/>).</summary>
    public IReadOnlyDictionary<int, double>? OcclusionEffectDb { get; init; }

    /// <summary>Interaural attenuation by frequency in Hz, dB; absent for the usual one of the transducer (<see cref="InterauralAttenuation"/>).</summary>
    public IReadOnlyDictionary<int, double>? InterauralAttenuationDb { get; init; }
}
