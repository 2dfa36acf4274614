using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>What is wrong with the options of <c>play</c>, in their own words and with the values allowed.</summary>
internal static class PlayMistakes
{
    private static readonly double _highestNoiseDb = Math.Floor(-200 * Math.Log10(NoiseSpec.HighestCrestFactor)) / 10;

    /// <summary>Every mistake; empty when the sound can be made.</summary>
    public static IReadOnlyList<string> Of(PlayOptions options) =>
    [
        .. Needless(options),
        .. Level("--level", $"of {Name(options.Stimulus)} ", options.Stimulus, options.LevelDbFullScale),
        .. options.MaskerDbFullScale is { } masker ? Level("--masker", string.Empty, StimulusKind.NarrowBand, masker) : [],
        .. Frequency(options),
        .. Duration(options),
        .. options is { MaskerDbFullScale: not null, Ears: EarChoice.Both } ? ["--masker puts noise into the other ear: choose --ear left or --ear right."] : (string[])[],
    ];

    /// <summary>An option that changes nothing would let somebody believe in a sound that was never made.</summary>
    private static IEnumerable<string> Needless(PlayOptions options)
    {
        var (kind, masked) = (options.Stimulus, options.MaskerDbFullScale is not null);
        if (options.FrequencyHz is not null && !masked && !HasFrequency(kind))
        {
            yield return $"--frequency does not apply to {Name(kind)}; leave it out.";
        }

        if (options.Seed is not null && !masked && kind is StimulusKind.Tone or StimulusKind.Warble or StimulusKind.Silence)
        {
            yield return $"--seed does not apply to {Name(kind)}, which has no noise in it; leave it out.";
        }

        if (kind == StimulusKind.Silence && options.LevelDbFullScale is not null)
        {
            yield return "--level does not apply to silence; leave it out.";
        }

        if (kind == StimulusKind.Silence && options.Shape is not null && !masked)
        {
            yield return "--shape does not apply to silence; leave it out.";
        }
    }

    private static IEnumerable<string> Level(string option, string of, StimulusKind kind, double? level)
    {
        var highest = kind is StimulusKind.Tone or StimulusKind.Warble ? 0 : _highestNoiseDb;
        if (kind != StimulusKind.Silence && level is { } wanted && !(wanted <= highest))
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{option} {of}must be {highest:0.0} dB of digital full scale or less, so that its peaks fit, not {wanted}.");
        }
    }

    private static IEnumerable<string> Frequency(PlayOptions options)
    {
        var (kind, hertz) = (options.Stimulus, options.FrequencyOrUsualHz);
        if ((kind == StimulusKind.NarrowBand || options.MaskerDbFullScale is not null) && !AudiometricFrequency.TryFromHertz(hertz, out _))
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"--frequency must be an audiometric one, for a narrow band of noise lies around it: {string.Join(", ", AudiometricFrequency.Both.Select(one => one.Hertz))} Hz, not {hertz}.");
        }
        else if (kind is StimulusKind.Tone or StimulusKind.Warble && !(hertz > 0 && hertz < HighestHz(kind)))
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"--frequency of {Name(kind)} must be above 0 and below {HighestHz(kind):0} Hz, not {hertz}.");
        }
    }

    private static IEnumerable<string> Duration(PlayOptions options)
    {
        // the limits are those of the kinds of sound themselves, each with values that fit in everything else
        StimulusSpec probe = options.Stimulus is StimulusKind.Tone or StimulusKind.Warble
            ? new ToneSpec(PlayOptions.UsualFrequencyHz, 0, ToneShape.Steady, options.DurationMs, AudioFormat.SampleRateHz)
            : new SilenceSpec(options.DurationMs, AudioFormat.SampleRateHz);
        return probe.Faults().Select(fault => $"--duration: {fault}");
    }

    /// <summary>Half the sample rate; for a warble tone less, so that its swing and one rate more stay below.</summary>
    private static double HighestHz(StimulusKind kind) => kind == StimulusKind.Tone
        ? AudioFormat.SampleRateHz / 2.0
        : Math.Floor(((AudioFormat.SampleRateHz / 2.0) - PlayOptions.WarbleRateHz) / (1 + (PlayOptions.WarbleDeviationPercent / 100)));

    private static bool HasFrequency(StimulusKind kind) => kind is StimulusKind.Tone or StimulusKind.Warble or StimulusKind.NarrowBand;

    private static string Name(StimulusKind kind) => kind.ToString().ToLowerInvariant();
}
