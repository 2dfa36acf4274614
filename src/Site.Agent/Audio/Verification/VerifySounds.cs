using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Hosting;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>A kind of sound that is verified, and how it is made at a level.</summary>
/// <param name="Name">Name for people.</param>
/// <param name="Topic">How its row of levels is read.</param>
/// <param name="LevelMs">Length of one piece in a row of levels, ms.</param>
/// <param name="Make">Makes it: ear, level in dB of digital full scale (peak for tones, RMS for noises), length in ms, and a like sound made before.</param>
internal sealed record VerifySoundKind(string Name, VerifyTopic Topic, double LevelMs, Func<Ear, double, double, IStimulus?, IStimulus> Make)
{
    private const double ShortMs = 180;

    /// <summary>Long enough for exactly one pulse.</summary>
    private const double OnePulseMs = 300;
    private const long LeftSeed = 1;

    /// <summary>Another noise than on the left, so that exchanged ears do not pass for each other.</summary>
    private const long RightSeed = 2;

    public static VerifySoundKind Tone(double hertz) => new("tone", VerifyTopic.ToneLevels, ShortMs, (_, level, length, _) => Pure(hertz, level, ToneShape.Steady, length));

    public static VerifySoundKind Pulsed(double hertz) => new("pulsed tone", VerifyTopic.ToneLevels, OnePulseMs, (_, level, length, _) => Pure(hertz, level, ToneShape.Pulsed, length));

    public static VerifySoundKind Warble(double hertz) => new(
        "warble tone",
        VerifyTopic.NoiseLevels,
        ShortMs,
        (_, level, length, _) => Stimulus.Make(new WarbleSpec(hertz, Amplitude(level), PlayOptions.WarbleRateHz, PlayOptions.WarbleDeviationPercent, ToneShape.Steady, length, AudioFormat.SampleRateHz)));

    public static VerifySoundKind Masker(AudiometricFrequency frequency) => new(
        "masking noise",
        VerifyTopic.NoiseLevels,
        ShortMs,
        (ear, level, length, earlier) => Stimulus.Make(new NarrowBandNoiseSpec(frequency, Amplitude(level), Seed(ear), ToneShape.Steady, length, AudioFormat.SampleRateHz), earlier));

    public static VerifySoundKind Broad(NoiseColour colour) => new(
        string.Create(CultureInfo.InvariantCulture, $"{colour} noise").ToLowerInvariant(),
        VerifyTopic.NoiseLevels,
        ShortMs,
        (ear, level, length, earlier) => Stimulus.Make(new BroadbandNoiseSpec(colour, Amplitude(level), Seed(ear), ToneShape.Steady, length, AudioFormat.SampleRateHz), earlier));

    private static IStimulus Pure(double hertz, double level, ToneShape shape, double length) => Stimulus.Make(new ToneSpec(hertz, Amplitude(level), shape, length, AudioFormat.SampleRateHz));

    private static long Seed(Ear ear) => ear == Ear.Left ? LeftSeed : RightSeed;

    private static double Amplitude(double decibels) => Math.Min(1, Math.Pow(10, decibels / 20));
}
