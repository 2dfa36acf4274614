namespace TeleHearing.Audiology.Signals;

/// <summary>A pure tone to be made.</summary>
/// <param name="FrequencyHz">Frequency in Hz, above 0 and below half the sample rate.</param>
/// <param name="PeakAmplitude">Peak of the plateau, 0 to 1 (digital full scale).</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Longest length in ms from the first to the last sample, rise and fall included; 100 to 60 000. A pulsed tone ends with its last whole pulse.</param>
/// <param name="SampleRateHz">Sample rate in Hz.</param>
public sealed record ToneSpec(double FrequencyHz, double PeakAmplitude, ToneShape Shape, double DurationMs, int SampleRateHz);
