using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>Draws what lies between two ears: how much a sound loses on its way across the head, and how much better a covered ear hears by bone.</summary>
/// <remarks>
/// Supra-aural: means and ranges of Chaiklin 1967 (from memory). Insert: 80 dB on average, 70 at least (Killion 1985; Sklare and Denenberg 1987, second hand). Bone: about 0 dB at
/// 250 Hz, rising to 10 at 4 kHz, less than the 15 dB measured (Studebaker 1967, from memory). Occlusion: 15, 15, 10 dB at 250, 500, 1000 Hz (Martin and Clark, second
/// hand). That a head that loses much at one frequency does so at all, and the spreads where a source gives none, are assumptions.
/// </remarks>
internal static class HeadDraw
{
    private const double InsertMeanDb = 80;
    private const double InsertLeastDb = 70;
    private const double InsertMostDb = 95;

    private static readonly LogFrequencyCurve _mean = Curve("mean_db");
    private static readonly LogFrequencyCurve _least = Curve("min_db");
    private static readonly LogFrequencyCurve _most = Curve("max_db");
    private static readonly LogFrequencyCurve _bone = new([(250, 0), (1000, 3), (2000, 6), (4000, 10)]);
    private static readonly LogFrequencyCurve _occlusion = new([(250, 15), (500, 15), (1000, 10), (2000, 0)]);

    /// <summary>Interaural attenuation of an earphone by frequency, dB.</summary>
    public static double[] Attenuation(TransducerKind kind, Random random)
    {
        var head = Normal.Next(random);
        return ForEach(hertz =>
        {
            var z = (0.8 * head) + (0.6 * Normal.Next(random));
            return kind == TransducerKind.Insert
                ? Math.Clamp(InsertMeanDb + (5 * z), InsertLeastDb, InsertMostDb)
                : Math.Clamp(_mean.At(hertz) + (z * (_most.At(hertz) - _least.At(hertz)) / 4), _least.At(hertz), _most.At(hertz));
        });
    }

    /// <summary>Interaural attenuation of a bone vibrator by frequency, dB.</summary>
    public static double[] BoneAttenuation(Random random)
    {
        var head = Normal.Next(random);
        return ForEach(hertz => Math.Max(0, _bone.At(hertz) + (2 * head)));
    }

    /// <summary>Occlusion effect of an ear by frequency, dB; what a conductive loss has used up is gone.</summary>
    public static double[] Occlusion(double[] air, double[] bone, Random random)
    {
        var size = 3 * Normal.Next(random);
        var place = 0;
        return ForEach(hertz =>
        {
            var gap = air[place] - bone[place++];
            var full = _occlusion.At(hertz);
            return full <= 0 ? 0 : Math.Max(0, full + size - Math.Max(0, gap));
        });
    }

    private static double[] ForEach(Func<int, double> value) => [.. AudiometricFrequency.All.Select(frequency => value(frequency.Hertz))];

    private static LogFrequencyCurve Curve(string column) => new(EmbeddedTable.Read("interaural_attenuation.csv").Rows
        .Where(row => row.Text("transducer") == "supra-aural")
        .Select(row => (row.Number("frequency_hz"), row.Number(column))));
}
