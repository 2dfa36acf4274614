using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Charts;

/// <summary>The level a band may reach.</summary>
/// <param name="BandHz">Nominal mid-band frequency in Hz.</param>
/// <param name="LimitDbSpl">Limit in dB re 20 µPa.</param>
public sealed record BandLimit(double BandHz, double LimitDbSpl);

/// <summary>A room against its limits.</summary>
/// <param name="Title">Short title.</param>
/// <param name="Bands">Energy average per third-octave band.</param>
/// <param name="Limits">Limit per band; a band without one is drawn without a limit.</param>
public sealed record NoiseSpectrum(string Title, IReadOnlyList<BandLevel> Bands, IReadOnlyList<BandLimit> Limits)
{
    /// <summary>Highest one-second level per band, drawn as a short line over the bar; may be empty.</summary>
    public IReadOnlyList<BandLevel> HighestBands { get; init; } = [];

    /// <summary>What the bands are: third-octaves or octaves.</summary>
    public string BandName { get; init; } = "third-octave";

    /// <summary>Start of the element ids, so that two charts can stand on one page.</summary>
    public string IdPrefix { get; init; } = "noise-spectrum";
}

/// <summary>One band in words and numbers.</summary>
/// <param name="BandHz">Nominal mid-band frequency in Hz.</param>
/// <param name="LevelDbSpl">Energy average, dB re 20 µPa.</param>
/// <param name="HighestDbSpl">Highest one-second level, if known.</param>
/// <param name="LimitDbSpl">Limit, if there is one.</param>
public sealed record NoiseRow(double BandHz, double LevelDbSpl, double? HighestDbSpl, double? LimitDbSpl)
{
    /// <summary>How far the average is over the limit in dB; 0 when it is not, or there is no limit.</summary>
    public double OverByDb => LimitDbSpl is { } limit ? Math.Max(0, LevelDbSpl - limit) : 0;
}
