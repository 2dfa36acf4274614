namespace TeleHearing.Audiology.Acoustics;

/// <summary>Octave levels of a running signal.</summary>
/// <param name="sampleRateHz">Sample rate in Hz; half of it must lie above the highest band.</param>
/// <param name="nominalBands">Bands of <see cref="OctaveBands.All"/>; all of them when absent.</param>
/// <exception cref="ArgumentOutOfRangeException">A band is unknown, or the sample rate too low for it.</exception>
public sealed class OctaveBank(int sampleRateHz, IReadOnlyList<double>? nominalBands = null)
    : BandBank(sampleRateHz, nominalBands ?? OctaveBands.All, OctaveBands.Edges, LaneWidth.Widest)
{
}
