using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>What kind of hearing a simulated person has.</summary>
internal enum HearingKind
{
    /// <summary>Otologically screened, of some age and sex (ISO 7029:2017).</summary>
    Aged,

    /// <summary>One of the ten standard audiograms of IEC 60118-15.</summary>
    Standard,

    /// <summary>A conductive loss on one side or both.</summary>
    Conductive,

    /// <summary>A conductive loss on top of a sensorineural one.</summary>
    Mixed,

    /// <summary>A sensorineural loss much larger on one side.</summary>
    Asymmetric,

    /// <summary>One ear that hears nothing.</summary>
    DeadEar,

    /// <summary>Conductive losses on both sides so large that no masker keeps one ear out without masking the other.</summary>
    Dilemma,

    /// <summary>As a file says.</summary>
    Given,
}

/// <summary>How a simulated person answers.</summary>
/// <param name="SlopeSdDb">Spread of the psychometric function, dB.</param>
/// <param name="LapseRate">Chance of missing a tone however loud.</param>
/// <param name="FalseAlarmRate">Chance of a press without cause in the time for one answer.</param>
internal sealed record Manner(double SlopeSdDb, double LapseRate, double FalseAlarmRate)
{
    /// <summary>Spread of the level at which the person chooses to answer, from trial to trial, dB.</summary>
    public double TrialWobbleDb { get; init; }

    /// <summary>Spread of that level from one threshold to the next, dB.</summary>
    public double ThresholdWobbleDb { get; init; }

    /// <summary>How far above threshold a person waits before answering, dB.</summary>
    public double WithheldDb { get; init; }

    /// <summary>Median of the reaction time, ms.</summary>
    public double ReactionMedianMs { get; init; } = 380;

    /// <summary>Spread of its natural logarithm.</summary>
    public double ReactionLogSd { get; init; } = 0.2;
}

/// <summary>A simulated person, in levels: two ears, the head between them, the room, and a manner of answering.</summary>
/// <remarks>Tables are by place in <see cref="AudiometricFrequency.All"/>; the first index of those by ear is the ear.</remarks>
internal sealed class SimulatedPerson
{
    // Felt, not heard: ISO 8253-1:2010, 8.4, on the mastoid. Above 1000 Hz no level of the vibrator is felt.
    private static readonly double[] _feltByBone = [.. AudiometricFrequency.All.Select(frequency => frequency.Hertz switch
    {
        <= 250 => 40.0,
        <= 500 => 60.0,
        <= 1000 => 70.0,
        _ => double.PositiveInfinity,
    })];

    public required HearingKind Kind { get; init; }

    /// <summary>Thresholds by air, dB HL.</summary>
    public required double[][] Air { get; init; }

    /// <summary>Thresholds by bone, dB HL.</summary>
    public required double[][] Bone { get; init; }

    /// <summary>Interaural attenuation of the earphone, dB.</summary>
    public required double[] Attenuation { get; init; }

    /// <summary>Interaural attenuation of the bone vibrator, dB.</summary>
    public required double[] BoneAttenuation { get; init; }

    /// <summary>Occlusion effect of a covered ear, dB.</summary>
    public required double[][] Occlusion { get; init; }

    /// <summary>Earphone worn.</summary>
    public required TransducerKind Earphone { get; init; }

    /// <summary>Manner of answering.</summary>
    public required Manner Manner { get; init; }

    /// <summary>Rise of a threshold while the other ear hears a masker, dB (central masking).</summary>
    public double CentralMaskingDb { get; init; }

    /// <summary>Level of room noise above the limit of the standard, under the earphone, dB; absent in a quiet room.</summary>
    public double[]? RoomExcess { get; init; }

    /// <summary>Age in years, where the hearing was drawn by it.</summary>
    public double? AgeYears { get; init; }

    /// <summary>Place of a frequency in the tables.</summary>
    public static int Place(int frequencyHz)
    {
        var all = AudiometricFrequency.All;
        for (var i = 0; i < all.Count; i++)
        {
            if (all[i].Hertz == frequencyHz)
            {
                return i;
            }
        }

        throw new ArgumentOutOfRangeException(nameof(frequencyHz), frequencyHz, "The simulated person hears the conventional range alone.");
    }

    /// <summary>Level of a tone at which either ear hears it half the time, dB HL, with a masker in the other ear or none.</summary>
    public TwoRouteLevels Levels(Ear ear, ConductionRoute route, int place, double? maskerDbEm)
    {
        var (test, other) = ((int)ear, 1 - (int)ear);
        var byBone = route != ConductionRoute.Air;
        var ears = new TwoRouteEars(
            Air[test][place],
            Bone[test][place],
            Air[other][place],
            Bone[other][place],
            byBone ? BoneAttenuation[place] : Attenuation[place],
            Attenuation[place],
            byBone && maskerDbEm is not null ? Occlusion[other][place] : 0);
        var masker = maskerDbEm ?? double.NegativeInfinity;
        var levels = byBone ? TwoRouteModel.Bone(ears, masker) : TwoRouteModel.Air(ears, masker);
        var central = masker >= Air[other][place] ? CentralMaskingDb : 0;
        var felt = byBone ? _feltByBone[place] : double.PositiveInfinity;
        return new TwoRouteLevels(Math.Min(InRoom(levels.TestEarDbHl + central, place), felt), InRoom(levels.OtherEarDbHl, place));
    }

    /// <summary>The ear's own threshold, dB HL: what a faultless measurement finds. By bone never above what is felt.</summary>
    public double Own(Ear ear, ConductionRoute route, int place) => route == ConductionRoute.Air
        ? InRoom(Air[(int)ear][place], place)
        : Math.Min(Bone[(int)ear][place], _feltByBone[place]);

    // A power sum: noise at the limit acts like -2.33 dB HL (from the 2 dB shift of ISO 8253-1:2010; an estimate).
    private double InRoom(double levelDbHl, int place) => RoomExcess is null
        ? levelDbHl
        : 10 * Math.Log10(Math.Pow(10, levelDbHl / 10) + Math.Pow(10, (RoomExcess[place] - 2.33) / 10));
}
