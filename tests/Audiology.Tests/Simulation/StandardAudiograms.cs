using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

/// <summary>The ten standard audiograms of IEC 60118-15: Bisgaard, Vlaming and Dahlquist 2010, Trends Amplif 14:113, Tables 2 and 4, dB HL.</summary>
internal static class StandardAudiograms
{
    private static readonly int[] _hertz = [250, 375, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000];

    public static IReadOnlyDictionary<string, double[]> Levels { get; } = new Dictionary<string, double[]>
    {
        ["N1"] = [10, 10, 10, 10, 10, 10, 15, 20, 30, 40],
        ["N2"] = [20, 20, 20, 22.5, 25, 30, 35, 40, 45, 50],
        ["N3"] = [35, 35, 35, 35, 40, 45, 50, 55, 60, 65],
        ["N4"] = [55, 55, 55, 55, 55, 60, 65, 70, 75, 80],
        ["N5"] = [65, 67.5, 70, 72.5, 75, 80, 80, 80, 80, 80],
        ["N6"] = [75, 77.5, 80, 82.5, 85, 90, 90, 95, 100, 100],
        ["N7"] = [90, 92.5, 95, 100, 105, 105, 105, 105, 105, 105],
        ["S1"] = [10, 10, 10, 10, 10, 10, 15, 30, 55, 70],
        ["S2"] = [20, 20, 20, 22.5, 25, 35, 55, 75, 95, 95],
        ["S3"] = [30, 30, 35, 47.5, 60, 70, 75, 80, 80, 85],
    };

    /// <summary>Thresholds at the audiometric frequencies (375 Hz is not one).</summary>
    public static IEnumerable<(AudiometricFrequency Frequency, double DbHl)> Points(string name) =>
        _hertz.Zip(Levels[name])
            .Where(point => AudiometricFrequency.TryFromHertz(point.First, out _))
            .Select(point => (AudiometricFrequency.FromHertz(point.First), point.Second));

    /// <summary>The same hearing on both ears.</summary>
    public static IReadOnlyList<ListenerThreshold> BothEars(string name) =>
        [.. new[] { Ear.Right, Ear.Left }.SelectMany(ear => Points(name).Select(point => new ListenerThreshold(ear, point.Frequency.Hertz, point.DbHl, null)))];
}
