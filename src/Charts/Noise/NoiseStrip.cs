using TeleHearing.Audiology.Noise;

namespace TeleHearing.Charts;

/// <summary>One band of a room heard live.</summary>
/// <param name="BandHz">Nominal mid-band frequency in Hz.</param>
/// <param name="LevelDbSpl">Level now, dB re 20 µPa.</param>
/// <param name="LimitDbSpl">What it may reach; absent without a limit.</param>
/// <param name="Verdict">Within, over, or not to be told from the microphone's own noise.</param>
/// <param name="Bears">Whether it bears on the tone in hand.</param>
public sealed record NoiseStripBand(double BandHz, double LevelDbSpl, double? LimitDbSpl, NoiseVerdict Verdict, bool Bears)
{
    /// <summary>How far it is over the limit, dB; 0 when it is not.</summary>
    public double OverByDb => LimitDbSpl is { } limit ? Math.Max(0, LevelDbSpl - limit) : 0;
}

/// <summary>A room heard live, small enough to stand beside other work.</summary>
/// <param name="Title">Short title.</param>
/// <param name="Bands">The bands by rising frequency.</param>
public sealed record NoiseStrip(string Title, IReadOnlyList<NoiseStripBand> Bands)
{
    /// <summary>Start of the element ids, so that two charts can stand on one page.</summary>
    public string IdPrefix { get; init; } = "noise-strip";
}
