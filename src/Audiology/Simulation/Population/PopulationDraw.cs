using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>How the people of a group answer.</summary>
internal enum MannerKind
{
    /// <summary>False alarms 0 to 5 %, lapses 0 to 2 %, slopes 1 to 4 dB: each drawn evenly.</summary>
    Cooperative,

    /// <summary>Cooperative, but lapses 2 to 5 %.</summary>
    Inattentive,

    /// <summary>False alarms 20 %.</summary>
    PressesWithoutCause,

    /// <summary>The level worth an answer changes from trial to trial and from threshold to threshold, well above the true threshold, as in functional loss.</summary>
    Inconsistent,

    /// <summary>Reaction times about 1.2 s with a wide spread.</summary>
    Slow,

    /// <summary>Cooperative, in a room whose noise exceeds the limits of ISO 8253-1:2010 by 0 to 20 dB at low frequencies.</summary>
    NoisyRoom,
}

/// <summary>Draws simulated people. The same seed and index give the same person, whoever was drawn before.</summary>
internal static class PopulationDraw
{
    /// <summary>Person of a group.</summary>
    /// <param name="manner">How the person answers.</param>
    /// <param name="random">Source of every chance (<see cref="Source"/>).</param>
    /// <param name="kind">Kind of hearing; absent to draw it too: four in ten by age, two standard audiograms, four constructed.</param>
    public static SimulatedPerson Draw(MannerKind manner, Random random, HearingKind? kind = null)
    {
        var hearing = kind ?? Kind(random);
        var age = AgeThresholds.YoungestYears + ((AgeThresholds.OldestYears - AgeThresholds.YoungestYears) * random.NextDouble());
        var (air, bone) = Hearing(hearing, age, random);
        if (random.NextDouble() < 0.5)
        {
            (air, bone) = ([air[1], air[0]], [bone[1], bone[0]]);
        }

        return Person(hearing, air, bone, manner, random, hearing == HearingKind.Aged ? age : null);
    }

    /// <summary>A person whose thresholds are given, e.g. from a listener file; head and manner are drawn.</summary>
    /// <param name="rows">Thresholds of both ears; between frequencies they are interpolated, beyond them they stay level.</param>
    /// <param name="manner">How the person answers.</param>
    /// <param name="random">Source of every chance.</param>
    public static SimulatedPerson Given(IReadOnlyList<ListenerThreshold> rows, MannerKind manner, Random random)
    {
        double[][] air = [Of(Ear.Right, row => row.AirDbHl), Of(Ear.Left, row => row.AirDbHl)];
        double[][] bone = [Of(Ear.Right, row => row.BoneDbHl ?? row.AirDbHl), Of(Ear.Left, row => row.BoneDbHl ?? row.AirDbHl)];
        return Person(HearingKind.Given, air, bone, manner, random, ageYears: null);

        double[] Of(Ear ear, Func<ListenerThreshold, double> level)
        {
            var curve = new LogFrequencyCurve(rows.Where(row => row.Ear == ear).Select(row => ((double)row.FrequencyHz, level(row))));
            return [.. AudiometricFrequency.All.Select(frequency => curve.At(frequency.Hertz))];
        }
    }

    /// <summary>The source of chance of one person.</summary>
    public static Random Source(int seed, MannerKind manner, int index) => new(unchecked((seed * 7919) ^ (index * 104_729) ^ ((int)manner * 1_299_709)));

    private static SimulatedPerson Person(HearingKind kind, double[][] air, double[][] bone, MannerKind manner, Random random, double? ageYears)
    {
        var earphone = random.NextDouble() < 0.5 ? TransducerKind.SupraAural : TransducerKind.Insert;
        return new SimulatedPerson
        {
            Kind = kind,
            Air = air,
            Bone = bone,
            Earphone = earphone,
            Attenuation = HeadDraw.Attenuation(earphone, random),
            BoneAttenuation = HeadDraw.BoneAttenuation(random),
            Occlusion = [HeadDraw.Occlusion(air[0], bone[0], random), HeadDraw.Occlusion(air[1], bone[1], random)],
            CentralMaskingDb = 5 * random.NextDouble(),
            Manner = Manner(manner, random),
            RoomExcess = manner == MannerKind.NoisyRoom ? Room(random) : null,
            AgeYears = ageYears,
        };
    }

    private static HearingKind Kind(Random random) => random.NextDouble() switch
    {
        < 0.40 => HearingKind.Aged,
        < 0.60 => HearingKind.Standard,
        < 0.70 => HearingKind.Conductive,
        < 0.80 => HearingKind.Mixed,
        < 0.92 => HearingKind.Asymmetric,
        < 0.96 => HearingKind.DeadEar,
        _ => HearingKind.Dilemma,
    };

    private static (double[][] Air, double[][] Bone) Hearing(HearingKind kind, double age, Random random)
    {
        switch (kind)
        {
            case HearingKind.Standard:
                return Sensorineural(HearingDraw.Standard(random.Next(HearingDraw.StandardCount), random));
            case HearingKind.Conductive:
                return Conductive(Young(random), first: Between(15, 60, random), second: random.NextDouble() < 0.3 ? Between(15, 40, random) : 0);
            case HearingKind.Mixed:
                return Conductive(
                    [HearingDraw.Sloping(Between(20, 50, random), Between(0, 10, random), random), HearingDraw.Sloping(Between(5, 40, random), Between(0, 10, random), random)],
                    first: Between(15, 45, random),
                    second: random.NextDouble() < 0.3 ? Between(10, 30, random) : 0);
            case HearingKind.Asymmetric:
                return Sensorineural([HearingDraw.Sloping(Between(50, 100, random), Between(0, 8, random), random), HearingDraw.Sloping(Between(0, 30, random), Between(0, 8, random), random)]);
            case HearingKind.DeadEar:
                return Sensorineural([HearingDraw.Dead(), HearingDraw.Sloping(Between(-5, 30, random), Between(0, 8, random), random)]);
            case HearingKind.Dilemma:
                return Conductive(Young(random), Between(55, 65, random), Between(55, 65, random));
            default:
                return Sensorineural(HearingDraw.Aged(random.NextDouble() < 0.5 ? Sex.Male : Sex.Female, age, random));
        }
    }

    private static double[][] Young(Random random) => HearingDraw.Aged(Sex.Female, Between(18, 40, random), random);

    private static (double[][] Air, double[][] Bone) Sensorineural(double[][] ears) => (ears, ears);

    private static (double[][] Air, double[][] Bone) Conductive(double[][] bone, double first, double second) =>
        ([HearingDraw.WithGap(bone[0], first), HearingDraw.WithGap(bone[1], second)], bone);

    private static Manner Manner(MannerKind kind, Random random)
    {
        var cooperative = new Manner(Between(1, 4, random), Between(0, 0.02, random), Between(0, 0.05, random));
        return kind switch
        {
            MannerKind.Inattentive => cooperative with { LapseRate = Between(0.02, 0.05, random) },
            MannerKind.PressesWithoutCause => cooperative with { FalseAlarmRate = 0.20 },
            MannerKind.Inconsistent => cooperative with { WithheldDb = Between(15, 35, random), TrialWobbleDb = Between(7, 12, random), ThresholdWobbleDb = Between(5, 10, random) },
            MannerKind.Slow => cooperative with { ReactionMedianMs = Between(1000, 1400, random), ReactionLogSd = 0.35 },
            _ => cooperative,
        };
    }

    private static double[] Room(Random random)
    {
        var low = Between(0, 20, random);
        return [.. AudiometricFrequency.All.Select(frequency => low - (8 * Math.Max(0, Math.Log2(frequency.Hertz / 250.0))))];
    }

    private static double Between(double low, double high, Random random) => low + ((high - low) * random.NextDouble());
}
