namespace TeleHearing.Audiology.Levels;

/// <summary>What <see cref="LevelChain.Resolve"/> came to. A closed set.</summary>
public abstract record LevelResult
{
    private LevelResult()
    {
    }

    /// <summary>The level can be played.</summary>
    /// <param name="PeakAmplitude">Peak of the sine, above 0 and at most 1 (digital full scale).</param>
    /// <param name="SplInCouplerDb">Sound pressure level this gives in the coupler of the record, dB re 20 µPa.</param>
    public sealed record Playable(double PeakAmplitude, double SplInCouplerDb) : LevelResult;

    /// <summary>The level may not be played.</summary>
    /// <param name="Fault">Why, and what to do.</param>
    public sealed record Refused(LevelFault Fault) : LevelResult;
}
