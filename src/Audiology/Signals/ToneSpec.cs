namespace TeleHearing.Audiology.Signals;

/// <summary>A pure tone to be made.</summary>
/// <param name="FrequencyHz">Frequency in Hz, above 0 and below half the sample rate.</param>
/// <param name="PeakAmplitude">Peak of the plateau, 0 to 1 (digital full scale).</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Longest length in ms from the first to the last sample, rise and fall included; 100 to 60 000. A pulsed tone ends with its last whole pulse.</param>
/// <param name="SampleRateHz">Sample rate in Hz.</param>
public sealed record ToneSpec(double FrequencyHz, double PeakAmplitude, ToneShape Shape, double DurationMs, int SampleRateHz) : StimulusSpec
{
    /// <inheritdoc />
    internal override double LongestMs => 60_000;

    private protected override IEnumerable<string> OwnFaults() =>
    [
        .. Need(FrequencyHz > 0 && FrequencyHz < SampleRateHz / 2.0, $"The frequency must be above 0 and below half the sample rate, not {FrequencyHz} Hz."),
        .. Need(PeakAmplitude is >= 0 and <= 1, $"The peak amplitude must be 0 to 1, not {PeakAmplitude}."),
    ];
}
