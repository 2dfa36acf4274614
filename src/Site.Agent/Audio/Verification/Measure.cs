using System.Globalization;
using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What can be measured.</summary>
internal enum Quantity
{
    LevelDb,
    FrequencyPercent,
    HarmonicPercent,
    DistortionAndNoiseDb,
    CrosstalkDb,
    RiseMs,
    FallMs,
    OvershootDb,
    PulseOnMs,
    PulseOffMs,
    PulsePlateauMs,
    PulseRampMs,
    PulseOffPhaseDb,
    WarbleCarrierPercent,
    WarbleDeviationPercent,
    WarbleRateHz,
    BandWidthOctaves,
    BandSkirtsDb,
    FloorDb,
}

/// <summary>One number out of a recording.</summary>
/// <param name="Item">What was played.</param>
/// <param name="Sound">Which of its sounds; absent when it is about the whole.</param>
/// <param name="Quantity">What it is.</param>
/// <param name="Value">The number; absent when the recording did not hold what was looked for.</param>
/// <param name="SpreadDb">By how much the recording's own noise may have moved it, dB, one standard deviation.</param>
/// <param name="Detail">Which part of the sound it is about; empty for the whole.</param>
internal sealed record Reading(VerifyItem Item, VerifySound? Sound, Quantity Quantity, double? Value, double SpreadDb = 0, string Detail = "");

/// <summary>Reads numbers out of the recording of one item.</summary>
internal static class Measure
{
    /// <summary>Left out at both ends of a sound, ms: the ramp of 35 ms and what clocks may drift in a run.</summary>
    private const double EdgeMs = 42;

    /// <summary>Left out after the last sound, ms, before its silence is looked at.</summary>
    private const double SettleMs = 5;

    /// <summary>Everything the item is there for.</summary>
    /// <param name="item">What was played.</param>
    /// <param name="own">Recording of its ear, from its first frame on and somewhat longer than it.</param>
    /// <param name="other">Recording of the other ear.</param>
    public static IEnumerable<Reading> Read(VerifyItem item, float[] own, float[] other) => item.Topic switch
    {
        VerifyTopic.Tone => Tone(item, own, other),
        VerifyTopic.ToneLevels => item.Sounds.Select(sound => Level(item, sound, own)),
        VerifyTopic.NoiseLevels => NoiseLevels(item, own),
        VerifyTopic.Pulses => Pulses(item, own),
        VerifyTopic.Warble => Warble(item, own),
        VerifyTopic.MaskerBand => Masker(item, own),
        _ => [new Reading(item, null, Quantity.FloorDb, Db(Rms(own.AsSpan(0, (int)item.Frames))))],
    };

    private static IEnumerable<Reading> Tone(VerifyItem item, float[] own, float[] other)
    {
        var sound = item.Sounds[0];
        var fit = SineFit.Fit(Plateau(sound, own), AudioFormat.SampleRateHz, item.Hertz);
        var across = SineFit.Fit(Plateau(sound, other), AudioFormat.SampleRateHz, fit.FrequencyHz);
        return
        [
            new Reading(item, sound, Quantity.LevelDb, fit.LevelDb, fit.LevelSpreadDb),
            new Reading(item, sound, Quantity.FrequencyPercent, 100 * ((fit.FrequencyHz / item.Hertz) - 1)),
            new Reading(item, sound, Quantity.HarmonicPercent, fit.HarmonicPercent),
            new Reading(item, sound, Quantity.DistortionAndNoiseDb, fit.DistortionAndNoiseDb),
            new Reading(item, sound, Quantity.CrosstalkDb, across.LevelDb - fit.LevelDb),
            .. RiseAndFall(item, own, fit.Amplitude),
        ];
    }

    private static Reading Level(VerifyItem item, VerifySound sound, float[] own)
    {
        var fit = SineFit.Fit(Plateau(sound, own), AudioFormat.SampleRateHz, item.Hertz);
        return new Reading(item, sound, Quantity.LevelDb, fit.LevelDb, fit.LevelSpreadDb);
    }

    private static IEnumerable<Reading> RiseAndFall(VerifyItem item, float[] own, double plateau)
    {
        var burst = ToneEnvelope.Bursts(ToneEnvelope.Of(own, AudioFormat.SampleRateHz, item.Hertz), AudioFormat.SampleRateHz, plateau).FirstOrDefault();
        return
        [
            new Reading(item, null, Quantity.RiseMs, burst?.RiseMs),
            new Reading(item, null, Quantity.FallMs, burst?.FallMs),
            new Reading(item, null, Quantity.OvershootDb, burst?.OvershootDb),
        ];
    }

    private static IEnumerable<Reading> Pulses(VerifyItem item, float[] own)
    {
        var envelope = ToneEnvelope.Of(own, AudioFormat.SampleRateHz, item.Hertz);
        var plateau = envelope.Max();
        var bursts = ToneEnvelope.Bursts(envelope, AudioFormat.SampleRateHz, plateau);
        for (var index = 0; index < bursts.Count; index++)
        {
            var (burst, pulse) = (bursts[index], string.Create(CultureInfo.InvariantCulture, $"pulse {index + 1}"));
            yield return new Reading(item, null, Quantity.PulseOnMs, burst.OnMs, Detail: pulse);
            yield return new Reading(item, null, Quantity.PulsePlateauMs, burst.PlateauMs, Detail: pulse);
            yield return new Reading(item, null, Quantity.PulseRampMs, Math.Max(burst.RiseMs, burst.FallMs), Detail: pulse);
        }

        for (var index = 1; index < bursts.Count; index++)
        {
            var (from, to) = (bursts[index - 1].EndFrame, bursts[index].StartFrame);
            var pause = string.Create(CultureInfo.InvariantCulture, $"pulse {index} to {index + 1}");
            yield return new Reading(item, null, Quantity.PulseOffMs, (to - from) * 1000 / AudioFormat.SampleRateHz, Detail: pause);
            yield return new Reading(item, null, Quantity.PulseOffPhaseDb, Db(envelope[(int)((from + to) / 2)] / plateau), Detail: pause);
        }

        if (bursts.Count < 2)
        {
            yield return new Reading(item, null, Quantity.PulseOnMs, null);
        }
    }

    private static IEnumerable<Reading> Warble(VerifyItem item, float[] own)
    {
        var swing = FrequencySwing.Measure(Plateau(item.Sounds[0], own), AudioFormat.SampleRateHz, item.Hertz);
        return
        [
            new Reading(item, null, Quantity.WarbleCarrierPercent, swing is null ? null : 100 * ((swing.MeanHz / item.Hertz) - 1)),
            new Reading(item, null, Quantity.WarbleDeviationPercent, swing?.DeviationPercent),
            new Reading(item, null, Quantity.WarbleRateHz, swing?.RateHz),
        ];
    }

    private static IEnumerable<Reading> Masker(VerifyItem item, float[] own)
    {
        var from = (int)AudioFormat.FramesOf(EdgeMs);
        var length = 1 << System.Numerics.BitOperations.Log2((uint)(item.Frames - (2 * from)));
        var shape = NoiseBandShape.Measure(own.AsSpan(from, length), AudioFormat.SampleRateHz, item.Hertz);
        return
        [
            .. NoiseLevels(item, own),
            new Reading(item, null, Quantity.BandWidthOctaves, shape?.Octaves),
            new Reading(item, null, Quantity.BandSkirtsDb, shape?.SkirtExcessDb),
        ];
    }

    /// <summary>Levels of noises against the very stretches that were made, so that their own wandering does not count.</summary>
    private static IEnumerable<Reading> NoiseLevels(VerifyItem item, float[] own)
    {
        var made = new float[item.Frames];
        item.Stimulus!.Render(0, made);

        // silence after the last sound: what the recording adds by itself
        var floor = Rms(own.AsSpan((int)item.Frames + (int)AudioFormat.FramesOf(SettleMs)));
        foreach (var sound in item.Sounds)
        {
            var rms = Rms(Plateau(sound, own));
            var without = Math.Sqrt(Math.Max(0, (rms * rms) - (floor * floor)));
            yield return new Reading(item, sound, Quantity.LevelDb, sound.LevelDb + Db(rms / Rms(Plateau(sound, made))), floor > 0 ? Db(rms / without) : 0);
        }
    }

    private static ReadOnlySpan<float> Plateau(VerifySound sound, float[] samples)
    {
        var edge = (int)AudioFormat.FramesOf(EdgeMs);
        return samples.AsSpan((int)sound.StartFrame + edge, (int)sound.Frames - (2 * edge));
    }

    private static double Rms(ReadOnlySpan<float> samples)
    {
        var sum = 0.0;
        foreach (var sample in samples)
        {
            sum += (double)sample * sample;
        }

        return Math.Sqrt(sum / samples.Length);
    }

    private static double Db(double ratio) => 20 * Math.Log10(ratio);
}
