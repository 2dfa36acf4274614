namespace TeleHearing.Audiology.Levels;

/// <summary>What <see cref="LevelChain"/> or <see cref="NoiseLevelChain"/> came to. A closed set.</summary>
public abstract record LevelResult
{
    private LevelResult()
    {
    }

    /// <summary>The level can be played.</summary>
    /// <param name="PeakAmplitude">Peak of the sine, above 0 and at most 1 (digital full scale).</param>
    /// <param name="SplInCouplerDb">Sound pressure level this gives in the coupler of the record, dB re 20 µPa; of a bone vibrator the force level, dB re 1 µN.</param>
    public sealed record Playable(double PeakAmplitude, double SplInCouplerDb) : LevelResult;

    /// <summary>The noise can be played.</summary>
    /// <param name="Rms">Root mean square of the noise, above 0; digital full scale is 1.</param>
    /// <param name="SplInCouplerDb">Sound pressure level this gives in the coupler of the record, dB re 20 µPa. For a broad noise it is the level of a 1 kHz tone of the same root mean square.</param>
    /// <param name="CeilingLevel">Level to hold against the ceilings at the frequency of its reference threshold: that of a tone of the same sound pressure level.</param>
    /// <param name="Status">Whether every number of the standards in it was confirmed.</param>
    public sealed record PlayableNoise(double Rms, double SplInCouplerDb, HearingLevel CeilingLevel, ValueStatus Status) : LevelResult;

    /// <summary>The level may not be played.</summary>
    /// <param name="Fault">Why, and what to do.</param>
    public sealed record Refused(LevelFault Fault) : LevelResult;
}
