using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>Draws thresholds of two ears.</summary>
/// <remarks>
/// By age: ISO 7029:2017 gives medians and spreads and no correlations. Design choice: of the variance of a threshold's place in its spread, 55 % is the person's, 15 % the ear's and 30 % the
/// frequency's own, smoothed over neighbours. Constructed losses are assumptions, chosen to cover what masking has to deal with.
/// </remarks>
internal static class HearingDraw
{
    /// <summary>A cochlea that hears nothing any transducer gives, dB HL.</summary>
    public const double DeadDbHl = 140;

    private const double PersonShare = 0.55;
    private const double EarShare = 0.15;
    private const double OwnShare = 1 - PersonShare - EarShare;

    // Conductive losses are mostly larger at low frequencies.
    private static readonly LogFrequencyCurve _stiffness = new([(250, 1), (1000, 0.9), (2000, 0.75), (4000, 0.85)]);

    private static readonly IReadOnlyList<LogFrequencyCurve> _standard = StandardAudiograms();

    public static int StandardCount => _standard.Count;

    /// <summary>Both ears of a screened person.</summary>
    public static double[][] Aged(Sex sex, double ageYears, Random random)
    {
        var person = Normal.Next(random);
        return [Ear(), Ear()];

        double[] Ear()
        {
            var ear = Normal.Next(random);
            var before = Normal.Next(random);
            return ForEach(frequency =>
            {
                // Half of a frequency's own part it shares with the one below.
                var own = Normal.Next(random);
                var smooth = (own + before) / Math.Sqrt(2);
                before = own;
                var z = (Math.Sqrt(PersonShare) * person) + (Math.Sqrt(EarShare) * ear) + (Math.Sqrt(OwnShare) * smooth);
                return AgeThresholds.For(sex, ageYears, frequency).At(z);
            });
        }
    }

    /// <summary>Both ears near one of the standard audiograms; what the table lacks stays as at its nearest end.</summary>
    public static double[][] Standard(int index, Random random)
    {
        return [Ear(), Ear()];

        double[] Ear()
        {
            var shift = 3 * Normal.Next(random);
            return ForEach(frequency => _standard[index].At(frequency.Hertz) + shift + (2 * Normal.Next(random)));
        }
    }

    /// <summary>A sensorineural loss of one ear, even up to 1 kHz, that falls towards high frequencies.</summary>
    public static double[] Sloping(double lowDb, double perOctaveDb, Random random) =>
        ForEach(frequency => lowDb + (perOctaveDb * Math.Max(0, Math.Log2(frequency.Hertz / 1000.0))) + (3 * Normal.Next(random)));

    /// <summary>Thresholds by air of an ear with a middle ear that takes away some sound.</summary>
    /// <param name="bone">Thresholds by bone, dB HL.</param>
    /// <param name="gapDb">Air-bone gap at low frequencies, dB.</param>
    public static double[] WithGap(double[] bone, double gapDb)
    {
        var place = 0;
        return ForEach(frequency => bone[place++] + (gapDb * _stiffness.At(frequency.Hertz)));
    }

    /// <summary>An ear that hears nothing.</summary>
    public static double[] Dead() => ForEach(_ => DeadDbHl);

    private static double[] ForEach(Func<AudiometricFrequency, double> value)
    {
        var all = AudiometricFrequency.All;
        var levels = new double[all.Count];
        for (var i = 0; i < levels.Length; i++)
        {
            levels[i] = value(all[i]);
        }

        return levels;
    }

    private static LogFrequencyCurve[] StandardAudiograms()
    {
        int[] hertz = [250, 375, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000];
        return
        [
            .. EmbeddedTable.Read("standard_audiograms_iec_60118_15.csv").Rows.Select(row =>
                new LogFrequencyCurve(hertz.Select(one => ((double)one, row.Number(one.ToString(System.Globalization.CultureInfo.InvariantCulture)))))),
        ];
    }
}
