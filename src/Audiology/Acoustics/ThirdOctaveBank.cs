namespace TeleHearing.Audiology.Acoustics;

/// <summary>One-third-octave levels of a running signal.</summary>
/// <param name="sampleRateHz">Sample rate in Hz; half of it must lie above the highest band.</param>
/// <param name="nominalBands">Bands of <see cref="ThirdOctaveBands.All"/>; all of them when absent.</param>
/// <exception cref="ArgumentOutOfRangeException">A band is unknown, or the sample rate too low for it.</exception>
public sealed class ThirdOctaveBank(int sampleRateHz, IReadOnlyList<double>? nominalBands = null)
    : BandBank(sampleRateHz, nominalBands ?? ThirdOctaveBands.All, ThirdOctaveBands.Edges, LaneWidth.Widest)
{
}
