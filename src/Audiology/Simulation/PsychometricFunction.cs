namespace TeleHearing.Audiology.Simulation;

/// <summary>The chance of a response to a tone: P = g + (1 - g - l) Phi((L - T) / sd), a cumulative normal with lapses and false alarms.</summary>
/// <remarks>Simulation studies use sd 1 to 4 dB, lapses l of 0 to 5 % and false alarms g of 0 to 20 %; these are assumptions, not measured norms.</remarks>
public sealed record PsychometricFunction
{
    /// <summary>Describes a listener at one frequency.</summary>
    /// <param name="thresholdDb">Level with half the responses when there are neither lapses nor false alarms, in the unit of the level.</param>
    /// <param name="sdDb">Spread in dB, above 0.</param>
    /// <param name="lapseRate">Chance of missing a tone however loud, 0 to 1.</param>
    /// <param name="falseAlarmRate">Chance of a response to a tone however soft, 0 to 1; with the lapse rate at most 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">A value is outside its range or not finite.</exception>
    public PsychometricFunction(double thresholdDb, double sdDb, double lapseRate = 0, double falseAlarmRate = 0)
    {
        Require(double.IsFinite(thresholdDb), thresholdDb, nameof(thresholdDb));
        Require(double.IsFinite(sdDb) && sdDb > 0, sdDb, nameof(sdDb));
        Require(lapseRate is >= 0 and <= 1, lapseRate, nameof(lapseRate));
        Require(falseAlarmRate >= 0 && falseAlarmRate + lapseRate <= 1, falseAlarmRate, nameof(falseAlarmRate));
        (ThresholdDb, SdDb, LapseRate, FalseAlarmRate) = (thresholdDb, sdDb, lapseRate, falseAlarmRate);
    }

    /// <summary>Midpoint, in the unit of the level.</summary>
    public double ThresholdDb { get; }

    /// <summary>Spread in dB.</summary>
    public double SdDb { get; }

    /// <summary>Chance of missing a tone however loud.</summary>
    public double LapseRate { get; }

    /// <summary>Chance of a response however soft the tone.</summary>
    public double FalseAlarmRate { get; }

    /// <summary>The chance of a response, 0 to 1.</summary>
    /// <param name="levelDb">Level in the unit of the threshold; negative infinity is silence.</param>
    /// <exception cref="ArgumentOutOfRangeException">The level is not a number.</exception>
    public double Probability(double levelDb)
    {
        Require(!double.IsNaN(levelDb), levelDb, nameof(levelDb));
        return FalseAlarmRate + ((1 - FalseAlarmRate - LapseRate) * Normal.Cumulative((levelDb - ThresholdDb) / SdDb));
    }

    private static void Require(bool holds, double value, string name)
    {
        if (!holds)
        {
            throw new ArgumentOutOfRangeException(name, value, "The value is outside its range.");
        }
    }
}
