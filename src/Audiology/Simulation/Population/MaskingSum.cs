using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>How masking did, summed up over thresholds.</summary>
internal sealed class MaskingSum
{
    /// <summary>Thresholds for which leaving out the masker would give a false one.</summary>
    public int Needed { get; private set; }

    /// <summary>Of these, those measured with a masker or at least tried.</summary>
    public int NeededMasked { get; private set; }

    /// <summary>Of these, those with a masked threshold.</summary>
    public int NeededSolved { get; private set; }

    /// <summary>Thresholds measured with a masker.</summary>
    public int Masked { get; private set; }

    /// <summary>Of these, those that the ear under test would have answered itself without one.</summary>
    public int Needless { get; private set; }

    /// <summary>Thresholds taken for the ear's own that lie 15 dB or more below them.</summary>
    public int ShadowsAccepted { get; private set; }

    /// <summary>The same from 10 dB on.</summary>
    public int ShadowsFromTen { get; private set; }

    /// <summary>Thresholds needed for which no masker exists that keeps one ear out and does not reach the other.</summary>
    public int Dilemmas { get; private set; }

    /// <summary>Of these, those called a dilemma.</summary>
    public int DilemmasNamed { get; private set; }

    /// <summary>Of these, those given a threshold all the same that is wrong by more than 10 dB.</summary>
    public int DilemmasWrong { get; private set; }

    /// <summary>Verdicts of all masked measurements.</summary>
    public int[] Verdicts { get; } = new int[Enum.GetValues<MaskingVerdict>().Length];

    /// <summary>Errors of masked thresholds.</summary>
    public ErrorSum Errors { get; } = new();

    public void Add(SimulatedPerson person, TrueThreshold truth, Measurement last)
    {
        var masked = last.Masking is not null;
        var error = truth.ErrorDb(last.Outcome, truth.OwnDbHl);
        var isDilemma = truth.NeedsMasking && NoMaskerExists(person, last);
        Needed += truth.NeedsMasking ? 1 : 0;
        NeededMasked += truth.NeedsMasking && masked ? 1 : 0;
        NeededSolved += truth.NeedsMasking && masked && error is not null ? 1 : 0;
        ShadowsAccepted += error <= -TrueThreshold.ShadowFromDb && truth.ShadowDb > 0 ? 1 : 0;
        ShadowsFromTen += error <= -10 && truth.ShadowDb > 0 ? 1 : 0;
        if (masked)
        {
            Masked++;
            Needless += truth.ShadowDb <= 0 ? 1 : 0;
            Verdicts[(int)last.Masking!.Verdict]++;
            if (error is not null)
            {
                Errors.Add(error);
            }
        }

        if (isDilemma)
        {
            Dilemmas++;
            DilemmasNamed += last.Masking?.Verdict == MaskingVerdict.Dilemma ? 1 : 0;
            DilemmasWrong += error is { } wrong && Math.Abs(wrong) > 10 ? 1 : 0;
        }
    }

    public void Add(MaskingSum other)
    {
        Needed += other.Needed;
        NeededMasked += other.NeededMasked;
        NeededSolved += other.NeededSolved;
        Masked += other.Masked;
        Needless += other.Needless;
        ShadowsAccepted += other.ShadowsAccepted;
        ShadowsFromTen += other.ShadowsFromTen;
        Dilemmas += other.Dilemmas;
        DilemmasNamed += other.DilemmasNamed;
        DilemmasWrong += other.DilemmasWrong;
        for (var i = 0; i < Verdicts.Length; i++)
        {
            Verdicts[i] += other.Verdicts[i];
        }

        Errors.Add(other.Errors);
    }

    /// <summary>Whether the least masker exceeds the most, by the true thresholds and attenuation.</summary>
    public static bool NoMaskerExists(SimulatedPerson person, Measurement last)
    {
        var place = SimulatedPerson.Place(last.FrequencyHz);
        var (test, other) = ((int)last.Ear, 1 - (int)last.Ear);
        var byBone = last.Route != ConductionRoute.Air;
        var otherGap = person.Air[other][place] - person.Bone[other][place];
        var least = byBone
            ? person.Bone[test][place] + otherGap + person.Occlusion[other][place] - person.BoneAttenuation[place]
            : MaskingLevels.AirMinimumDbEm(person.Air[test][place], person.Attenuation[place], otherGap);
        return Math.Max(least, person.Air[other][place]) >= person.Bone[test][place] + person.Attenuation[place];
    }
}
