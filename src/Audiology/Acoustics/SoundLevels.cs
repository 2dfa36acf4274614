namespace TeleHearing.Audiology.Acoustics;

/// <summary>What a sound level meter measured, in dB re 20 µPa with the meter's frequency weighting.</summary>
/// <param name="Seconds">Time measured, s.</param>
/// <param name="EquivalentDb">Level of the same energy (Leq).</param>
/// <param name="HighestFastDb">Highest fast level (LFmax).</param>
/// <param name="HighestSlowDb">Highest slow level (LSmax).</param>
/// <param name="PeakDb">Level of the highest instantaneous value (Lpeak).</param>
/// <param name="L10Db">Fast level exceeded 10 % of the time; absent under 10 ms.</param>
/// <param name="L50Db">Fast level exceeded half the time.</param>
/// <param name="L90Db">Fast level exceeded 90 % of the time.</param>
/// <param name="Faults">What was wrong with the samples.</param>
public sealed record SoundLevels(
    double Seconds,
    double EquivalentDb,
    double HighestFastDb,
    double HighestSlowDb,
    double PeakDb,
    double? L10Db,
    double? L50Db,
    double? L90Db,
    InputFaults Faults)
{
    /// <summary>Whether these are a measurement at all. When not, say why with <see cref="InputFaults.Sentence"/> and record nothing.</summary>
    public bool Valid => !Faults.Any;
}
