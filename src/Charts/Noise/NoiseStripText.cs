using TeleHearing.Audiology.Noise;

namespace TeleHearing.Charts;

/// <summary>A live room in words.</summary>
public static class NoiseStripText
{
    /// <summary>One or two sentences: which bands are over their limit and by how much, and which cannot be told.</summary>
    public static string Describe(NoiseStrip strip)
    {
        var limited = strip.Bands.Where(band => band.LimitDbSpl is not null).ToList();
        if (limited.Count == 0)
        {
            return "There are no limits to hold the room against.";
        }

        var over = limited.Where(band => band.Verdict == NoiseVerdict.TooLoud).ToList();
        var unknown = limited.Count(band => band.Verdict == NoiseVerdict.NotVerifiable);
        var first = over.Count == 0
            ? unknown == 0 ? $"All {limited.Count} bands are within their limits." : $"{limited.Count - unknown} of {limited.Count} bands are within their limits."
            : $"{over.Count} of {limited.Count} bands over the limit: {string.Join(", ", over.Select(band => $"{NoiseSpectrumText.Band(band.BandHz)} by {NoiseSpectrumText.Db(band.OverByDb)} dB"))}.";
        return unknown == 0 ? first : $"{first} {unknown} cannot be told from the microphone's own noise.";
    }

    /// <summary>One band's result in words.</summary>
    public static string Result(NoiseStripBand band) => (band.LimitDbSpl, band.Verdict) switch
    {
        (null, _) => "no limit",
        (_, NoiseVerdict.TooLoud) => $"over by {NoiseSpectrumText.Db(band.OverByDb)} dB",
        (_, NoiseVerdict.NotVerifiable) => "cannot be told from the microphone's own noise",
        _ => "within the limit",
    };
}
