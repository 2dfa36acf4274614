using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Noise;

/// <summary>Maximum permissible ambient noise down to 0 dB HL with a shift of at most 2 dB (ISO 8253-1:2010, Tables 2 and 3 for earphones, Table 4 for bone conduction with open ears, 11.1).</summary>
public static class AmbientNoiseLimits
{
    private static readonly Dictionary<(TransducerKind, int), IReadOnlyDictionary<double, double>> _limits =
        Enum.GetValues<TransducerKind>().SelectMany(kind => new[] { 125, 250, 500 }.Select(lowest => (kind, lowest))).ToDictionary(
            key => key,
            key => (IReadOnlyDictionary<double, double>)Table(key.kind, key.lowest).Limits.ToDictionary(limit => limit.BandHz, limit => limit.LimitDbSpl));

    /// <summary>Limit by nominal third-octave band in Hz, dB re 20 µPa.</summary>
    /// <param name="kind">Kind of transducer.</param>
    /// <param name="lowestTestToneHz">Lowest test tone in Hz: from 500, from 250, or lower.</param>
    public static IReadOnlyDictionary<double, double> For(TransducerKind kind, int lowestTestToneHz) => _limits[(kind, Table(kind, lowestTestToneHz).LowestTestToneHz)];

    /// <summary>The same with its source.</summary>
    internal static NoiseLimits Table(TransducerKind kind, int lowestTestToneHz) =>
        NoiseLimits.Find(NoiseCriterion.Iso8253, NoiseLimits.ConditionOf(kind), lowestTestToneHz)
        ?? throw new InvalidOperationException("The table of ISO 8253-1 is not complete.");
}
