using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Noise;

/// <summary>What a room's noise lets a test prove.</summary>
/// <remarks>
/// ISO 8253-1:2010, 11.1 lets each limit rise by the lowest hearing level to be tested; read the other way, the excess over the limit is the lowest level
/// that can be proved. Noise masks upward, so tones at or below 500 Hz are judged by every lower band too.
/// </remarks>
public static class RoomJudgement
{
    /// <summary>How far a level must lie above the microphone's own noise to be a measurement of the room, dB (ISO 8253-1:2010, 11.1).</summary>
    public const double MarginOverSelfNoiseDb = 6;

    /// <summary>Tones up to this frequency are judged by every lower band too, Hz.</summary>
    public const int LowToneHz = 500;

    /// <summary>The lowest provable hearing level of each tested frequency.</summary>
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
        ArgumentNullException.ThrowIfNull(room);
        ArgumentNullException.ThrowIfNull(microphoneSelfNoise);
        ArgumentNullException.ThrowIfNull(tested);
        if (tested.Count == 0)
        {
            return [];
        }

        var limits = AmbientNoiseLimits.For(kind, tested.Min().Hertz);
        var roomByBand = ByBand(room, nameof(room));
        var selfByBand = ByBand(microphoneSelfNoise, nameof(microphoneSelfNoise));
        return [.. tested.Select(frequency => Bound(frequency, roomByBand, selfByBand, limits))];
    }

    /// <summary>The nominal third-octave bands that bear on a tone: its own, and every lower one up to 500 Hz.</summary>
    public static IReadOnlyList<double> BandsThatMatter(AudiometricFrequency frequency)
    {
        var own = ThirdOctaveBands.Containing(frequency.Hertz)
            ?? throw new ArgumentOutOfRangeException(nameof(frequency), frequency, "Not an audiometric frequency.");
        return frequency.Hertz > LowToneHz ? [own] : [.. ThirdOctaveBands.Nominal.Where(band => band <= own)];
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

    private static LowestProvableLevel Bound(
        AudiometricFrequency frequency,
        Dictionary<double, double> room,
        Dictionary<double, double> selfNoise,
        IReadOnlyDictionary<double, double> limits)
    {
        // Where the room cannot be told from the microphone, what is shown is that the room is no louder than what was read.
        var (all, shown, limiting) = (double.NegativeInfinity, double.NegativeInfinity, 0.0);
        foreach (var band in BandsThatMatter(frequency))
        {
            if (!room.TryGetValue(band, out var level))
            {
                throw new ArgumentException($"The {band} Hz band, which bears on {frequency}, was not measured.", nameof(room));
            }

            var known = selfNoise.TryGetValue(band, out var own);
            var verifiable = known && level - own >= MarginOverSelfNoiseDb;
            var excess = Math.Max(level, known ? own : level) - limits[band];
            if (excess > all)
            {
                (all, limiting) = (excess, band);
            }

            shown = verifiable ? Math.Max(shown, excess) : shown;
        }

        var bound = Rounded(all);
        return new LowestProvableLevel(frequency.Hertz, bound, bound == Rounded(shown), limiting);
    }

    private static double Rounded(double excessDb) =>
        excessDb <= HearingLevels.LowestPresentedDbHl ? HearingLevels.LowestPresentedDbHl : HearingLevels.RoundUpToStep(excessDb);

    private static Dictionary<double, double> ByBand(IReadOnlyList<BandLevel> levels, string name)
    {
        var byBand = new Dictionary<double, double>();
        foreach (var level in levels)
        {
            if (!double.IsFinite(level.LevelDbSpl))
            {
                throw new ArgumentException($"The level of the {level.BandHz} Hz band is no finite number.", name);
            }

            byBand[level.BandHz] = level.LevelDbSpl;
        }

        return byBand;
    }
}
