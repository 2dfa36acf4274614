using System.Globalization;

namespace TeleHearing.Charts;

/// <summary>A noise spectrum in words.</summary>
public static class NoiseSpectrumText
{
    /// <summary>Every band by rising frequency, with its limit.</summary>
    public static IReadOnlyList<NoiseRow> Rows(NoiseSpectrum spectrum)
    {
        var limits = spectrum.Limits.GroupBy(limit => limit.BandHz).ToDictionary(group => group.Key, group => group.Last().LimitDbSpl);
        var highest = spectrum.HighestBands.GroupBy(band => band.BandHz).ToDictionary(group => group.Key, group => group.Last().LevelDbSpl);
        return
        [
            .. spectrum.Bands
                .OrderBy(band => band.BandHz)
                .Select(band => new NoiseRow(
                    band.BandHz,
                    band.LevelDbSpl,
                    highest.TryGetValue(band.BandHz, out var high) ? high : null,
                    limits.TryGetValue(band.BandHz, out var limit) ? limit : null)),
        ];
    }

    /// <summary>The description a screen reader reads after the title.</summary>
    public static string Describe(NoiseSpectrum spectrum)
    {
        var rows = Rows(spectrum);
        var over = rows.Where(row => row.OverByDb > 0).ToList();
        if (rows.Count == 0)
        {
            return "No bands measured.";
        }

        if (rows.All(row => row.LimitDbSpl is null))
        {
            return $"{rows.Count} {spectrum.BandName} bands measured; no limits to hold them against.";
        }

        return over.Count == 0
            ? $"All {rows.Count} {spectrum.BandName} bands are within their limits."
            : $"{over.Count} of {rows.Count} {spectrum.BandName} bands are over their limit: {string.Join(", ", over.Select(row => $"{Band(row.BandHz)} by {Db(row.OverByDb)} dB"))}.";
    }

    internal static string Band(double bandHz) =>
        bandHz >= 1000
            ? $"{(bandHz / 1000).ToString("0.##", CultureInfo.InvariantCulture)} kHz"
            : $"{bandHz.ToString("0.#", CultureInfo.InvariantCulture)} Hz";

    internal static string Db(double level) => OutcomeText.Number(Math.Round(level, 1));
}
