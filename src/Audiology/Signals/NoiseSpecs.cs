using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Signals;

/// <summary>A noise to be made.</summary>
/// <remarks>
/// Over any stretch of one period (at least 5 s) its root mean square is exact. Over a shorter one it wanders as the noise itself does: in T seconds of a band of B hertz
/// by about 4.3 / sqrt(B T) dB (standard deviation of the level of band-limited noise; handbook formula).
/// </remarks>
public abstract record NoiseSpec : StimulusSpec
{
    /// <summary>Peaks reach at most this many times the RMS, so that an RMS of up to its inverse fits into full scale.</summary>
    public const double HighestCrestFactor = NoisePeriod.HighestCrestFactor;

    private protected NoiseSpec()
    {
    }

    /// <summary>Root mean square of the plateau over one period; digital full scale is 1, a full-scale sine has 0.7071.</summary>
    public abstract double Rms { get; init; }

    /// <summary>Seed of its random phases. Keep it to make the same noise again.</summary>
    public abstract long Seed { get; init; }

    /// <summary>Steady or pulsed.</summary>
    public abstract ToneShape Shape { get; init; }

    /// <summary>How its power lies over frequency.</summary>
    internal abstract NoiseSpectrum Spectrum { get; }

    /// <inheritdoc />
    internal override double LongestMs => 600_000;

    private protected override IEnumerable<string> OwnFaults() =>
    [
        .. Need(
            Rms >= 0 && Rms * NoisePeriod.HighestCrestFactor <= 1,
            $"The root mean square must be 0 to {1 / NoisePeriod.HighestCrestFactor}, so that no peak of the noise is cut off; {Rms} is not."),
        .. Need(
            Spectrum.HighestHz < SampleRateHz / 2.0,
            $"The noise reaches {Spectrum.HighestHz:0} Hz and needs a sample rate of more than twice that, not {SampleRateHz} Hz."),
    ];
}

/// <summary>A narrow band of noise around an audiometric frequency.</summary>
/// <param name="Centre">Middle of the band.</param>
/// <param name="Rms">Root mean square of the plateau over one period.</param>
/// <param name="Seed">Seed of its random phases.</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Longest length in ms, 100 to 600 000.</param>
/// <param name="SampleRateHz">Sample rate in Hz.</param>
public sealed record NarrowBandNoiseSpec(AudiometricFrequency Centre, double Rms, long Seed, ToneShape Shape, double DurationMs, int SampleRateHz) : NoiseSpec
{
    /// <inheritdoc />
    internal override NoiseSpectrum Spectrum => new NoiseSpectrum.NarrowBand(Centre.Hertz);

    private protected override IEnumerable<string> OwnFaults() =>
        Centre.Hertz > 0 ? base.OwnFaults() : ["The noise has no frequency."];
}

/// <summary>A broad band of noise.</summary>
/// <param name="Colour">How its power lies over frequency.</param>
/// <param name="Rms">Root mean square of the plateau over one period.</param>
/// <param name="Seed">Seed of its random phases.</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Longest length in ms, 100 to 600 000.</param>
/// <param name="SampleRateHz">Sample rate in Hz.</param>
public sealed record BroadbandNoiseSpec(NoiseColour Colour, double Rms, long Seed, ToneShape Shape, double DurationMs, int SampleRateHz) : NoiseSpec
{
    /// <inheritdoc />
    internal override NoiseSpectrum Spectrum => NoiseSpectrum.Of(Colour);

    private protected override IEnumerable<string> OwnFaults() =>
        Enum.IsDefined(Colour) ? base.OwnFaults() : [$"There is no noise of the kind {Colour}."];
}

/// <summary>How the power of a broad noise lies over frequency.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<NoiseColour>))]
public enum NoiseColour
{
    /// <summary>Speech-shaped: even to 1 kHz, then 12 dB less for each octave up to 6 kHz (IEC 60645-1, from memory).</summary>
    Speech,

    /// <summary>The same power in each hertz, 20 Hz to 20 kHz.</summary>
    White,

    /// <summary>The same power in each octave, 20 Hz to 20 kHz.</summary>
    Pink,
}
