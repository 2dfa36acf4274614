using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>What a faultless measurement of an ear, route and frequency would come to, on the grid of levels.</summary>
/// <param name="OwnDbHl">The lowest level of the grid that the ear itself hears at least half the time; one step above the limit when it hears none.</param>
/// <param name="UnmaskedDbHl">The same for whichever ear hears it, without a masker.</param>
/// <param name="LimitDbHl">Highest level.</param>
/// <param name="StepDb">Step of the grid, dB.</param>
internal readonly record struct TrueThreshold(double OwnDbHl, double UnmaskedDbHl, double LimitDbHl, double StepDb)
{
    /// <summary>From where on a shadow is a false threshold, dB: one that lies further off than the 10 dB a measurement may.</summary>
    public const double ShadowFromDb = 15;

    /// <summary>How much better than the ear itself the person seems to hear without a masker, dB.</summary>
    public double ShadowDb => OwnDbHl - UnmaskedDbHl;

    /// <summary>Whether leaving out the masker would give a false threshold.</summary>
    public bool NeedsMasking => ShadowDb >= ShadowFromDb;

    public static TrueThreshold Of(SimulatedPerson person, Ear ear, ConductionRoute route, int frequencyHz, double stepDb)
    {
        var place = SimulatedPerson.Place(frequencyHz);
        var limit = PersonRun.Highest(person.Earphone, route, frequencyHz);
        var unmasked = person.Levels(ear, route, place, maskerDbEm: null).ResponseDbHl;
        return new TrueThreshold(OnGrid(person.Own(ear, route, place)), OnGrid(unmasked), limit, stepDb);

        double OnGrid(double level) => Math.Clamp(HearingLevels.RoundUpToStep(level, stepDb), HearingLevels.LowestPresentedDbHl, limit + stepDb);
    }

    /// <summary>How far an outcome lies from a level of the grid, dB; none without a threshold. A bound set by noise is right wherever the threshold lies at or below it.</summary>
    public double? ErrorDb(ThresholdOutcome outcome, double trueDbHl) => outcome switch
    {
        ThresholdOutcome.Established established => established.LevelDbHl - trueDbHl,
        ThresholdOutcome.NoResponseAtLimit => LimitDbHl + StepDb - trueDbHl,
        ThresholdOutcome.NoiseLimited noise => Math.Min(0, noise.BoundDbHl - trueDbHl),
        _ => null,
    };
}
