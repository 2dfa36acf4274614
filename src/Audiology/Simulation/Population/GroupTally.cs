using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>What a method came to over a group of people.</summary>
internal sealed class GroupTally(double stepDb, MaskingRules? rules = null)
{
    /// <summary>Ears tested.</summary>
    public int Ears { get; private set; }

    /// <summary>Ears of which at least one threshold needs masking.</summary>
    public int EarsNeedingMasking { get; private set; }

    /// <summary>Of these, those of which every such threshold was masked or tried.</summary>
    public int EarsMasked { get; private set; }

    /// <summary>Ears of which a shadow was taken for a threshold.</summary>
    public int EarsWithShadow { get; private set; }

    /// <summary>Ears with at least one true dilemma.</summary>
    public int EarsInDilemma { get; private set; }

    /// <summary>Of these, those of which at least one was named.</summary>
    public int EarsDilemmaNamed { get; private set; }

    /// <summary>Ears judged to be measured again.</summary>
    public int EarsToRepeat { get; private set; }

    /// <summary>Errors of unmasked thresholds by air that the ear under test answers itself, against the grid.</summary>
    public ErrorSum Air { get; } = new();

    /// <summary>The same against the true threshold, which lies between the levels of the grid.</summary>
    public ErrorSum AirAgainstTruth { get; } = new();

    /// <summary>Errors of unmasked thresholds by bone, against the better ear's on the grid.</summary>
    public ErrorSum Bone { get; } = new();

    public MaskingSum MaskedAir { get; } = new();

    public MaskingSum MaskedBone { get; } = new();

    /// <summary>Silent trials, and responses to them.</summary>
    public (long Trials, long Responses) Silent { get; private set; }

    /// <summary>Tones and silent trials of unmasked thresholds by air.</summary>
    public long AirPresentations { get; private set; }

    public double AirSeconds { get; private set; }

    public long Presentations { get; private set; }

    public double Seconds { get; private set; }

    /// <summary>Adds a person.</summary>
    /// <param name="person">Person.</param>
    /// <param name="done">Everything measured.</param>
    public void Add(SimulatedPerson person, IReadOnlyList<Measurement> done)
    {
        foreach (var one in done)
        {
            var count = one.Tally.Tones + one.Tally.CatchTrials;
            Presentations += count;
            Seconds += one.Tally.DurationSeconds;
            Silent = (Silent.Trials + one.Tally.CatchTrials, Silent.Responses + one.Tally.FalseResponses);
            if (one.Masking is null && one.Route == ConductionRoute.Air)
            {
                AirPresentations += count;
                AirSeconds += one.Tally.DurationSeconds;
            }
        }

        AddEar(person, Ear.Right, done);
        AddEar(person, Ear.Left, done);
    }

    /// <summary>Adds what another tally holds.</summary>
    public void Add(GroupTally other)
    {
        Ears += other.Ears;
        EarsNeedingMasking += other.EarsNeedingMasking;
        EarsMasked += other.EarsMasked;
        EarsWithShadow += other.EarsWithShadow;
        EarsInDilemma += other.EarsInDilemma;
        EarsDilemmaNamed += other.EarsDilemmaNamed;
        EarsToRepeat += other.EarsToRepeat;
        Silent = (Silent.Trials + other.Silent.Trials, Silent.Responses + other.Silent.Responses);
        AirPresentations += other.AirPresentations;
        AirSeconds += other.AirSeconds;
        Presentations += other.Presentations;
        Seconds += other.Seconds;
        Air.Add(other.Air);
        AirAgainstTruth.Add(other.AirAgainstTruth);
        Bone.Add(other.Bone);
        MaskedAir.Add(other.MaskedAir);
        MaskedBone.Add(other.MaskedBone);
    }

    private void AddEar(SimulatedPerson person, Ear ear, IReadOnlyList<Measurement> done)
    {
        Ears++;
        EarsToRepeat += Reliability.Judge(ear, done, person.Earphone, rules).Verdict == EarVerdict.Repeat ? 1 : 0;
        var (needs, missed, shadow, dilemma, named) = (false, false, false, false, false);
        for (var i = 0; i < done.Count; i++)
        {
            var one = done[i];
            if (one.Ear != ear || !Holds(done, i))
            {
                continue;
            }

            var truth = TrueThreshold.Of(person, ear, one.Route, one.FrequencyHz, stepDb);
            var sum = one.Route == ConductionRoute.Air ? MaskedAir : MaskedBone;
            if (one.Masking is null)
            {
                AddUnmasked(person, one, truth);
                if (HasMasked(done, one))
                {
                    continue;
                }
            }

            var (shadowsBefore, dilemmasBefore, namedBefore) = (sum.ShadowsAccepted, sum.Dilemmas, sum.DilemmasNamed);
            sum.Add(person, truth, one);
            needs |= truth.NeedsMasking;
            missed |= truth.NeedsMasking && one.Masking is null;
            shadow |= sum.ShadowsAccepted > shadowsBefore;
            dilemma |= sum.Dilemmas > dilemmasBefore;
            named |= sum.DilemmasNamed > namedBefore;
        }

        EarsNeedingMasking += needs ? 1 : 0;
        EarsMasked += needs && !missed ? 1 : 0;
        EarsWithShadow += shadow ? 1 : 0;
        EarsInDilemma += dilemma ? 1 : 0;
        EarsDilemmaNamed += dilemma && named ? 1 : 0;
    }

    private void AddUnmasked(SimulatedPerson person, Measurement one, TrueThreshold truth)
    {
        if (one.Route != ConductionRoute.Air)
        {
            Bone.Add(truth.ErrorDb(one.Outcome, truth.UnmaskedDbHl));
        }
        else if (truth.ShadowDb <= 0)
        {
            Air.Add(truth.ErrorDb(one.Outcome, truth.OwnDbHl));
            if (one.Outcome is ThresholdOutcome.Established established)
            {
                AirAgainstTruth.Add(established.LevelDbHl - person.Own(one.Ear, one.Route, SimulatedPerson.Place(one.FrequencyHz)));
            }
        }
    }

    /// <summary>Whether a measurement is the last of its kind; one that came to nothing gives way to an earlier one that did.</summary>
    private static bool Holds(IReadOnlyList<Measurement> done, int index)
    {
        var one = done[index];
        for (var i = 0; i < done.Count; i++)
        {
            if (i != index && IsSameKind(done[i], one) && (Found(done[i]) == Found(one) ? i > index : Found(done[i])))
            {
                return false;
            }
        }

        return true;
    }

    private static bool IsSameKind(Measurement a, Measurement b) =>
        a.Ear == b.Ear && a.Route == b.Route && a.FrequencyHz == b.FrequencyHz && (a.Masking is null) == (b.Masking is null);

    private static bool Found(Measurement one) => one.Outcome is not ThresholdOutcome.NotEstablished;

    private static bool HasMasked(IReadOnlyList<Measurement> done, Measurement unmasked)
    {
        for (var i = 0; i < done.Count; i++)
        {
            var one = done[i];
            if (one.Masking is not null && one.Ear == unmasked.Ear && one.Route == unmasked.Route && one.FrequencyHz == unmasked.FrequencyHz)
            {
                return true;
            }
        }

        return false;
    }
}
