using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Noise;

/// <summary>What a room's noise lets a test prove.</summary>
/// <remarks>
/// ISO 8253-1:2010, 11.1 lets each limit rise by the lowest hearing level to be tested, and so does ANSI S3.1; read the other way, the excess over the limit is the
/// lowest level that can be proved. Noise masks upward, so tones at or below 500 Hz are judged by every lower band too.
/// </remarks>
public static class RoomJudgement
{
    /// <summary>How far a level must lie above the microphone's own noise to be a measurement of the room, dB (ISO 8253-1:2010, 11.1).</summary>
    public const double MarginOverSelfNoiseDb = 6;

    /// <summary>Tones up to this frequency are judged by every lower band too, Hz.</summary>
    public const int LowToneHz = 500;

    /// <summary>The lowest provable hearing level of each tested frequency, by ISO 8253-1.</summary>
    /// <param name="room">Room levels; every band that matters must be there.</param>
    /// <param name="microphoneSelfNoise">The microphone's own noise by band. A band that is missing counts as not known: what it bounds is not verifiable.</param>
    /// <param name="kind">Kind of transducer.</param>
    /// <param name="tested">Frequencies to be tested; the lowest decides the limits.</param>
    /// <exception cref="ArgumentException">A band that matters is missing from the room levels, or a level is no finite number.</exception>
    public static IReadOnlyList<LowestProvableLevel> LowestProvable(
        IReadOnlyList<BandLevel> room,
        IReadOnlyList<BandLevel> microphoneSelfNoise,
        TransducerKind kind,
        IReadOnlyList<AudiometricFrequency> tested)
    {
        ArgumentNullException.ThrowIfNull(tested);
        return tested.Count == 0 ? [] : LowestProvable(room, microphoneSelfNoise, AmbientNoiseLimits.Table(kind, tested.Min().Hertz), tested);
    }

    /// <summary>The lowest provable hearing level of each tested frequency for which the criterion prints a limit.</summary>
    /// <param name="room">Third-octave levels of the room; every band that matters must be there.</param>
    /// <param name="microphoneSelfNoise">The microphone's own noise by third-octave band. What a missing band bounds is not verifiable.</param>
    /// <param name="limits">The limits.</param>
    /// <param name="tested">Frequencies to be tested.</param>
    /// <exception cref="ArgumentException">A band that matters is missing from the room levels, or a level is no finite number.</exception>
    public static IReadOnlyList<LowestProvableLevel> LowestProvable(
        IReadOnlyList<BandLevel> room,
        IReadOnlyList<BandLevel> microphoneSelfNoise,
        NoiseLimits limits,
        IReadOnlyList<AudiometricFrequency> tested)
    {
        ArgumentNullException.ThrowIfNull(limits);
        ArgumentNullException.ThrowIfNull(tested);
        var (roomByBand, selfByBand) = (limits.InItsBands(room), limits.InItsBands(microphoneSelfNoise));
        return [.. tested.Select(frequency => Bound(frequency, roomByBand, selfByBand, limits.BearingOn(frequency))).OfType<LowestProvableLevel>()];
    }

    /// <summary>Whether the room is quiet enough for a tone, when nothing below a level will be tested.</summary>
    /// <param name="room">Third-octave levels of the room; every band that matters must be there.</param>
    /// <param name="microphoneSelfNoise">The microphone's own noise by third-octave band.</param>
    /// <param name="limits">The limits.</param>
    /// <param name="frequency">The tone.</param>
    /// <param name="lowestLevel">Lowest level to be tested.</param>
    /// <exception cref="ArgumentException">A band that matters is missing from the room levels, or a level is no finite number.</exception>
    public static NoiseVerdict Verdict(
        IReadOnlyList<BandLevel> room,
        IReadOnlyList<BandLevel> microphoneSelfNoise,
        NoiseLimits limits,
        AudiometricFrequency frequency,
        HearingLevel lowestLevel)
    {
        ArgumentNullException.ThrowIfNull(limits);
        var (roomByBand, selfByBand) = (limits.InItsBands(room), limits.InItsBands(microphoneSelfNoise));
        var worst = NoiseVerdict.QuietEnough;
        var bands = limits.BearingOn(frequency);
        foreach (var limit in bands)
        {
            var verdict = BandVerdict(
                LevelOf(roomByBand, limit.BandHz, frequency),
                selfByBand.TryGetValue(limit.BandHz, out var own) ? own : null,
                limit.LimitDbSpl + lowestLevel.Decibels);

            // A band shown to be too loud decides, whatever cannot be told of the others.
            worst = verdict == NoiseVerdict.TooLoud || worst == NoiseVerdict.QuietEnough ? verdict : worst;
            if (worst == NoiseVerdict.TooLoud)
            {
                break;
            }
        }

        return bands.Count == 0 ? NoiseVerdict.NoLimit : worst;
    }

    /// <summary>One band against one limit.</summary>
    /// <param name="levelDbSpl">Level read.</param>
    /// <param name="selfNoiseDbSpl">The microphone's own noise in the band; absent when not known.</param>
    /// <param name="limitDbSpl">The limit, raised by the lowest level to be tested.</param>
    public static NoiseVerdict BandVerdict(double levelDbSpl, double? selfNoiseDbSpl, double limitDbSpl)
    {
        if (selfNoiseDbSpl is not { } own || own > limitDbSpl)
        {
            // Too loud can be told even so, when the room stands clear of the microphone's own noise.
            return selfNoiseDbSpl is { } known && levelDbSpl - known >= MarginOverSelfNoiseDb ? NoiseVerdict.TooLoud : NoiseVerdict.NotVerifiable;
        }

        // What is read holds the microphone's noise besides the room's, so a reading within the limit shows that the room is.
        return levelDbSpl <= limitDbSpl ? NoiseVerdict.QuietEnough
            : levelDbSpl - own >= MarginOverSelfNoiseDb ? NoiseVerdict.TooLoud
            : NoiseVerdict.NotVerifiable;
    }

    /// <summary>The nominal third-octave bands that bear on a tone by ISO 8253-1: its own, and every lower one up to 500 Hz. Empty above 8 kHz, where the standard prints no limits.</summary>
    public static IReadOnlyList<double> BandsThatMatter(AudiometricFrequency frequency)
    {
        var own = ThirdOctaveBands.Containing(frequency.Hertz)
            ?? throw new ArgumentOutOfRangeException(nameof(frequency), frequency, "Not an audiometric frequency.");
        return frequency.Hertz <= LowToneHz ? [.. ThirdOctaveBands.Nominal.Where(band => band <= own)]
            : ThirdOctaveBands.Nominal.Contains(own) ? [own]
            : [];
    }

    /// <summary>The highest noise in a band during which a presentation counts, dB re 20 µPa: the limit raised by the level presented.</summary>
    /// <param name="kind">Kind of transducer.</param>
    /// <param name="lowestTestToneHz">Lowest test tone in Hz.</param>
    /// <param name="bandHz">Nominal third-octave band in Hz.</param>
    /// <param name="level">Level presented.</param>
    public static double LimitAt(TransducerKind kind, int lowestTestToneHz, double bandHz, HearingLevel level) =>
        AmbientNoiseLimits.For(kind, lowestTestToneHz).TryGetValue(bandHz, out var limit)
            ? limit + level.Decibels
            : throw new ArgumentOutOfRangeException(nameof(bandHz), bandHz, "Not a third-octave band from 31.5 Hz to 8 kHz.");

    private static LowestProvableLevel? Bound(
        AudiometricFrequency frequency,
        IReadOnlyDictionary<double, double> room,
        IReadOnlyDictionary<double, double> selfNoise,
        IReadOnlyList<NoiseLimit> limits)
    {
        if (limits.Count == 0)
        {
            return null;
        }

        // Where the room cannot be told from the microphone, what is shown is that the room is no louder than what was read.
        var (all, shown, limiting) = (double.NegativeInfinity, double.NegativeInfinity, 0.0);
        foreach (var limit in limits)
        {
            var level = LevelOf(room, limit.BandHz, frequency);
            var known = selfNoise.TryGetValue(limit.BandHz, out var own);
            var verifiable = known && level - own >= MarginOverSelfNoiseDb;
            var excess = Math.Max(level, known ? own : level) - limit.LimitDbSpl;
            if (excess > all)
            {
                (all, limiting) = (excess, limit.BandHz);
            }

            shown = verifiable ? Math.Max(shown, excess) : shown;
        }

        var bound = Rounded(all);
        return new LowestProvableLevel(frequency.Hertz, bound, bound == Rounded(shown), limiting)
        {
            LimitStatus = limits.All(limit => limit.Status == ValueStatus.Confirmed) ? ValueStatus.Confirmed : ValueStatus.FromMemory,
        };
    }

    private static double LevelOf(IReadOnlyDictionary<double, double> room, double band, AudiometricFrequency frequency) =>
        room.TryGetValue(band, out var level) ? level : throw new ArgumentException($"The {band} Hz band, which bears on {frequency}, was not measured.", nameof(room));

    private static double Rounded(double excessDb) =>
        excessDb <= HearingLevels.LowestPresentedDbHl ? HearingLevels.LowestPresentedDbHl : HearingLevels.RoundUpToStep(excessDb);
}
