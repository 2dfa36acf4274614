namespace TeleHearing.Audiology.Signals;

/// <summary>A warble tone to be made: a tone whose frequency swings as a sine around its middle. Its level is that of a pure tone of the same peak.</summary>
/// <remarks>
/// The instantaneous frequency is <c>f (1 + d sin(2 pi r t))</c>. IEC 60645-1 (from memory) asks for sinusoidal or triangular modulation, 4 to 20 Hz, 5 to 25 % to
/// either side, and a middle within 3 %. Used where a pure tone would make standing waves, as in a sound field.
/// </remarks>
/// <param name="FrequencyHz">Middle frequency f in Hz.</param>
/// <param name="PeakAmplitude">Peak of the plateau, 0 to 1 (digital full scale).</param>
/// <param name="RateHz">Swings per second r, 4 to 20 Hz.</param>
/// <param name="DeviationPercent">Farthest swing to either side 100 d in percent of the middle frequency, 5 to 25.</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Longest length in ms, 100 to 60 000.</param>
/// <param name="SampleRateHz">Sample rate in Hz.</param>
public sealed record WarbleSpec(double FrequencyHz, double PeakAmplitude, double RateHz, double DeviationPercent, ToneShape Shape, double DurationMs, int SampleRateHz) : StimulusSpec
{
    /// <summary>Slowest swing in Hz (IEC 60645-1, from memory).</summary>
    public const double SlowestRateHz = 4;

    /// <summary>Fastest swing in Hz (IEC 60645-1, from memory).</summary>
    public const double FastestRateHz = 20;

    /// <summary>Narrowest swing in percent to either side (IEC 60645-1, from memory).</summary>
    public const double NarrowestPercent = 5;

    /// <summary>Widest swing in percent to either side (IEC 60645-1, from memory).</summary>
    public const double WidestPercent = 25;

    /// <summary>Farthest swing to either side in Hz.</summary>
    public double DeviationHz => FrequencyHz * DeviationPercent / 100;

    /// <inheritdoc />
    internal override double LongestMs => 60_000;

    private protected override IEnumerable<string> OwnFaults() =>
    [
        .. Need(RateHz is >= SlowestRateHz and <= FastestRateHz, $"The rate must be {SlowestRateHz} to {FastestRateHz} Hz, not {RateHz} Hz."),
        .. Need(DeviationPercent is >= NarrowestPercent and <= WidestPercent, $"The deviation must be {NarrowestPercent} to {WidestPercent} %, not {DeviationPercent} %."),

        // Beyond the farthest swing and one rate more there is next to nothing (rule of Carson 1922), and nothing may fold back.
        .. Need(FrequencyHz > 0 && FrequencyHz + DeviationHz + RateHz < SampleRateHz / 2.0, $"The frequency must be above 0 and its swing must stay below half the sample rate; {FrequencyHz} Hz does not."),
        .. Need(PeakAmplitude is >= 0 and <= 1, $"The peak amplitude must be 0 to 1, not {PeakAmplitude}."),
    ];
}
