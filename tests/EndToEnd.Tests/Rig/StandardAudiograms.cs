using System.Globalization;
using System.Text;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>The ten standard audiograms for testing hearing instruments: Bisgaard, Vlaming and Dahlquist 2010, Trends in Amplification 14:113, Tables 2 and 4 (IEC 60118-15).</summary>
/// <remarks>375 Hz is left out: it is not a test frequency of ISO 8253-1 and has no published reference threshold for the earphones used here.</remarks>
internal static class StandardAudiograms
{
    private const int NotAudiometricHz = 375;

    /// <summary>Name to thresholds in dB HL by frequency in Hz.</summary>
    public static IReadOnlyDictionary<string, IReadOnlyDictionary<int, double>> All { get; } = Load();

    /// <summary>A listener file with one of them in both ears.</summary>
    public static string ListenerCsv(string name)
    {
        var csv = new StringBuilder("ear,frequency_hz,air_db_hl,bone_db_hl\n");
        foreach (var ear in new[] { "right", "left" })
        {
            foreach (var (frequencyHz, levelDbHl) in All[name])
            {
                csv.Append(CultureInfo.InvariantCulture, $"{ear},{frequencyHz},{levelDbHl},\n");
            }
        }

        return csv.ToString();
    }

    private static Dictionary<string, IReadOnlyDictionary<int, double>> Load()
    {
        var assembly = typeof(StandardAudiograms).Assembly;
        var name = assembly.GetManifestResourceNames().Single(resource => resource.EndsWith("standard_audiograms_iec_60118_15.csv", StringComparison.Ordinal));
        using var reader = new StreamReader(assembly.GetManifestResourceStream(name)!);
        string[][] rows = [.. reader.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Where(line => line[0] != '#').Select(line => line.Split(','))];
        int[] frequencies = [.. rows[0].Skip(1).Select(cell => int.Parse(cell, CultureInfo.InvariantCulture))];
        return rows.Skip(1).ToDictionary(
            row => row[0],
            IReadOnlyDictionary<int, double> (row) => frequencies
                .Zip(row.Skip(1), (frequency, cell) => (Frequency: frequency, Level: double.Parse(cell, CultureInfo.InvariantCulture)))
                .Where(pair => pair.Frequency != NotAudiometricHz)
                .ToDictionary(pair => pair.Frequency, pair => pair.Level));
    }
}
