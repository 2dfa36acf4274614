namespace TeleHearing.Audiology.PureTone;

/// <summary>Order of test frequencies and the checks that go with it.</summary>
public static class EarProtocol
{
    /// <summary>Agreement asked of a retest at 1000 Hz, dB (ISO 8253-1:2010, 6.2.3).</summary>
    public const double RetestAgreementDb = 5;

    /// <summary>Difference between neighbouring octaves that calls for the frequency between them, dB (ANSI S3.21).</summary>
    public const double InterOctaveDifferenceDb = 20;

    /// <summary>What two outcomes that cannot be subtracted count as when they do not agree, dB (the change from which ISO 8253-1:2010 asks for more repeats).</summary>
    private const double NoAgreementDb = 10;

    private static readonly int[] _upThenDown = [1000, 1500, 2000, 3000, 4000, 6000, 8000, 1000, 750, 500, 250, 125];
    private static readonly (int Low, int Between, int High)[] _interOctaves = [(500, 750, 1000), (1000, 1500, 2000), (2000, 3000, 4000), (4000, 6000, 8000)];

    /// <summary>The usual order of an ear: 1000 Hz, upwards, 1000 Hz again, then downwards (ASHA 2005; order from memory).</summary>
    /// <param name="frequencies">Frequencies to test, in any order; repeats count once. 1000 Hz comes twice when it is among them.</param>
    public static IReadOnlyList<AudiometricFrequency> ConventionalOrder(IEnumerable<AudiometricFrequency> frequencies)
    {
        ArgumentNullException.ThrowIfNull(frequencies);
        var wanted = frequencies.Select(frequency => frequency.Hertz).ToHashSet();
        return [.. _upThenDown.Where(wanted.Contains).Select(hertz => AudiometricFrequency.FromHertz(hertz))];
    }

    /// <summary>Whether a retest agrees with the first test. Two outcomes without a threshold agree only when they are the same.</summary>
    public static bool RetestAgrees(ThresholdOutcome first, ThresholdOutcome retest) => (first, retest) switch
    {
        (ThresholdOutcome.Established a, ThresholdOutcome.Established b) => Math.Abs(a.LevelDbHl - b.LevelDbHl) <= RetestAgreementDb,
        _ => first is not ThresholdOutcome.NotEstablished && Equals(first, retest),
    };

    /// <summary>Change between a first test and its repeat, dB. A response in one of them only counts as no agreement; a threshold that noise hid contradicts only one above its bound.</summary>
    public static double ChangeDb(ThresholdOutcome first, ThresholdOutcome repeat) => (first, repeat) switch
    {
        (ThresholdOutcome.Established a, ThresholdOutcome.Established b) => Math.Abs(a.LevelDbHl - b.LevelDbHl),
        (ThresholdOutcome.Established a, ThresholdOutcome.NoResponseAtLimit b) => AtLeastNoAgreement(b.LimitDbHl + PureToneAverage.NoResponseAdditionDb - a.LevelDbHl),
        (ThresholdOutcome.NoResponseAtLimit a, ThresholdOutcome.Established b) => AtLeastNoAgreement(a.LimitDbHl + PureToneAverage.NoResponseAdditionDb - b.LevelDbHl),
        (ThresholdOutcome.NoiseLimited a, ThresholdOutcome.Established b) => Math.Max(0, b.LevelDbHl - a.BoundDbHl),
        (ThresholdOutcome.Established a, ThresholdOutcome.NoiseLimited b) => Math.Max(0, a.LevelDbHl - b.BoundDbHl),
        (ThresholdOutcome.NoiseLimited, ThresholdOutcome.NoiseLimited) => 0,
        _ => RetestAgrees(first, repeat) ? 0 : NoAgreementDb,
    };

    /// <summary>Which of 750, 1500, 3000 and 6000 Hz are worth testing, because the octaves around them differ by 20 dB or more and they are not tested yet.</summary>
    /// <param name="outcomes">Outcomes of one ear by frequency in Hz. No response counts as 5 dB above its limit.</param>
    public static IReadOnlyList<AudiometricFrequency> InterOctavesToAdd(IReadOnlyDictionary<int, ThresholdOutcome> outcomes)
    {
        ArgumentNullException.ThrowIfNull(outcomes);
        return
        [
            .. _interOctaves
                .Where(trio => !outcomes.ContainsKey(trio.Between)
                    && Level(outcomes, trio.Low) is { } low && Level(outcomes, trio.High) is { } high
                    && Math.Abs(low - high) >= InterOctaveDifferenceDb)
                .Select(trio => AudiometricFrequency.FromHertz(trio.Between)),
        ];
    }

    private static double AtLeastNoAgreement(double changeDb) => Math.Max(NoAgreementDb, changeDb);

    private static double? Level(IReadOnlyDictionary<int, ThresholdOutcome> outcomes, int hertz) => outcomes.GetValueOrDefault(hertz) switch
    {
        ThresholdOutcome.Established established => established.LevelDbHl,
        ThresholdOutcome.NoResponseAtLimit limit => limit.LimitDbHl + PureToneAverage.NoResponseAdditionDb,
        _ => null,
    };
}
