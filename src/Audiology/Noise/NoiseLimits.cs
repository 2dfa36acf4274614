using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Noise;

/// <summary>One published limit.</summary>
/// <param name="BandHz">Nominal mid-band frequency in Hz.</param>
/// <param name="LimitDbSpl">Highest level in the band for tests down to 0 dB HL with a shift of at most 2 dB, dB re 20 µPa.</param>
/// <param name="Status">Whether the number was confirmed.</param>
public sealed record NoiseLimit(double BandHz, double LimitDbSpl, ValueStatus Status);

/// <summary>The limits for one way of listening and one lowest test tone.</summary>
/// <param name="Criterion">Whose limits they are.</param>
/// <param name="Condition">How the person listens.</param>
/// <param name="LowestTestToneHz">The column: 125, 250 or 500 Hz.</param>
/// <param name="Limits">The limits by rising band.</param>
public sealed record NoiseLimits(NoiseCriterion Criterion, ListeningCondition Condition, int LowestTestToneHz, IReadOnlyList<NoiseLimit> Limits)
{
    /// <summary>The limits of a criterion; absent where it prints none, as S3.1 does for circumaural earphones.</summary>
    /// <param name="criterion">Whose limits.</param>
    /// <param name="condition">How the person listens.</param>
    /// <param name="lowestTestToneHz">Lowest test tone in Hz. Between the columns the next lower one holds, and below all of them the lowest.</param>
    public static NoiseLimits? Find(NoiseCriterion criterion, ListeningCondition condition, int lowestTestToneHz) => NoiseLimitTables.Find(criterion, condition, lowestTestToneHz);

    /// <summary>The way of listening that a kind of transducer stands for.</summary>
    public static ListeningCondition ConditionOf(TransducerKind kind) => kind switch
    {
        TransducerKind.SupraAural => ListeningCondition.SupraAural,
        // Table 3 knows one kind of insert earphone; the same plug in the ear canal is assumed to keep out as much.
        TransducerKind.Insert or TransducerKind.HighFrequencyInsert => ListeningCondition.Insert,
        TransducerKind.Circumaural => ListeningCondition.Circumaural,
        TransducerKind.BoneVibrator => ListeningCondition.Bone,
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "No way of listening is known for this kind of transducer."),
    };

    /// <summary>The bands that bear on a tone: the one that contains it, and for tones up to 500 Hz every lower one, because noise masks upward. Empty where the criterion prints no limit for the tone's own band.</summary>
    public IReadOnlyList<NoiseLimit> BearingOn(AudiometricFrequency frequency)
    {
        var own = Limits.FirstOrDefault(limit => Contains(limit.BandHz, frequency.Hertz));
        return own is null ? [] : frequency.Hertz > RoomJudgement.LowToneHz ? [own] : [.. Limits.Where(limit => limit.BandHz <= own.BandHz)];
    }

    /// <summary>Levels by the bands of this criterion, from third-octave levels.</summary>
    /// <exception cref="ArgumentException">A level is no finite number.</exception>
    public IReadOnlyDictionary<double, double> InItsBands(IReadOnlyList<BandLevel> thirdOctaves)
    {
        ArgumentNullException.ThrowIfNull(thirdOctaves);
        if (thirdOctaves.FirstOrDefault(level => !double.IsFinite(level.LevelDbSpl)) is { } broken)
        {
            throw new ArgumentException($"The level of the {broken.BandHz} Hz band is no finite number.", nameof(thirdOctaves));
        }

        var bands = Criterion == NoiseCriterion.AnsiOctave ? BandSums.Octaves(thirdOctaves) : thirdOctaves;
        var byBand = new Dictionary<double, double>();
        foreach (var band in bands)
        {
            byBand[band.BandHz] = band.LevelDbSpl;
        }

        return byBand;
    }

    private bool Contains(double bandHz, double hertz)
    {
        var (lower, upper) = Criterion == NoiseCriterion.AnsiOctave ? OctaveBands.Edges(bandHz) : ThirdOctaveBands.Edges(bandHz);
        return hertz >= lower && hertz < upper;
    }
}
