using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>What a listener did about one tone.</summary>
/// <param name="Pressed">Whether the button was pressed in answer, or by chance while an answer was awaited.</param>
/// <param name="ReactionMs">Time from the onset of the tone, ms.</param>
/// <param name="ByOtherEar">Whether the other ear needed the lower level.</param>
internal readonly record struct ListenerAnswer(bool Pressed, double ReactionMs, bool ByOtherEar);

/// <summary>Answers for a simulated person, by levels alone: no sound is made, so that thousands of ears can be tested. The same seed gives the same answers.</summary>
/// <remarks>
/// P(press) = g + (1 - g - l) Phi((L - T) / sd), T being the lower of the two routes of <see cref="TwoRouteModel"/>. Presses without cause come by chance in time: g in the
/// time for one answer, and at the same rate in the silence between. Every trial takes the same number of chances. Nothing is allocated.
/// </remarks>
internal sealed class TwoRouteListener(SimulatedPerson person, long seed)
{
    private SplitMix _chance = new(seed);
    private double _thresholdWobbleDb;

    /// <summary>Begins another threshold: the person settles on what is worth an answer.</summary>
    public void BeginThreshold() => _thresholdWobbleDb = person.Manner.ThresholdWobbleDb * Next();

    /// <summary>Answers a tone.</summary>
    /// <param name="ear">Ear under test.</param>
    /// <param name="route">Route.</param>
    /// <param name="place">Place of the frequency in the tables.</param>
    /// <param name="levelDbHl">Level, dB HL.</param>
    /// <param name="maskerDbEm">Masker in the other ear, dB EM; absent for none.</param>
    public ListenerAnswer Hear(Ear ear, ConductionRoute route, int place, double levelDbHl, double? maskerDbEm)
    {
        var manner = person.Manner;
        var levels = person.Levels(ear, route, place, maskerDbEm);
        var threshold = levels.ResponseDbHl + manner.WithheldDb + _thresholdWobbleDb + (manner.TrialWobbleDb * Next());
        var heard = Normal.Cumulative((levelDbHl - threshold) / manner.SlopeSdDb);
        var luck = _chance.NextUnit();
        var reaction = manner.ReactionMedianMs * Math.Exp(manner.ReactionLogSd * Next());
        return new ListenerAnswer(luck < manner.FalseAlarmRate + ((1 - manner.FalseAlarmRate - manner.LapseRate) * heard), reaction, levels.IsShadow);
    }

    /// <summary>Whether the button is pressed without cause in a silence.</summary>
    /// <param name="seconds">Length of the silence, s.</param>
    /// <param name="answerSeconds">Time for one answer, s, in which the rate of the person holds.</param>
    public bool PressesInSilence(double seconds, double answerSeconds) =>
        _chance.NextUnit() >= Math.Pow(1 - person.Manner.FalseAlarmRate, seconds / answerSeconds);

    /// <summary>A number by chance, 0 or more and below 1, for the timing of trials.</summary>
    public double NextUnit() => _chance.NextUnit();

    // Box and Muller 1958.
    private double Next()
    {
        var radius = Math.Sqrt(-2 * Math.Log(1 - _chance.NextUnit()));
        return radius * Math.Cos(Math.Tau * _chance.NextUnit());
    }
}
