using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>Everything that is played: each ear, each frequency, each level, each kind of sound.</summary>
internal static class VerifyPlan
{
    /// <summary>Lowest and highest level without a calibration, dB of digital full scale (design: above it a cable loop may clip, below it nothing but a digital loop has anything left).</summary>
    private const double LowestDb = -110;

    /// <inheritdoc cref="LowestDb"/>
    private const double HighestDb = -5;
    private const double StepDb = 5;

    /// <summary>Level of the sounds whose form is looked at, dB of digital full scale (design).</summary>
    private const double FormDb = -20;

    /// <summary>Level of noises, RMS: their peaks need room.</summary>
    private const double NoiseDb = -30;
    private const double ToneMs = 500;
    private const double LevelToneMs = 180;
    private const double GapMs = 20;

    /// <summary>One whole period of a noise (5.46 s) with its rise and fall.</summary>
    private const double NoiseMs = 5600;
    private const double ShortNoiseMs = 1000;
    private const long Seed = 1;

    /// <summary>Frequency whose pulses, rise, fall and warble are timed: its period is a whole number of samples.</summary>
    private const int FormHertz = 1000;
    private static readonly Ear[] _ears = [Ear.Left, Ear.Right];

    /// <summary>The items, in the order in which they are played.</summary>
    /// <param name="gear">The kit whose calibration gives the levels; absent for levels of digital full scale.</param>
    /// <param name="quick">A few frequencies and levels only.</param>
    public static IReadOnlyList<VerifyItem> Make(Gear? gear, bool quick)
    {
        var frequencies = quick ? [AudiometricFrequency.FromHertz(250), AudiometricFrequency.FromHertz(FormHertz), AudiometricFrequency.FromHertz(8000)] : AudiometricFrequency.All.Concat(AudiometricFrequency.ExtendedHigh).ToList();
        var maskers = quick ? [AudiometricFrequency.FromHertz(FormHertz)] : frequencies;
        return
        [
            .. _ears.SelectMany(ear => frequencies.Select(frequency => Single(VerifyTopic.Tone, ear, frequency.Hertz, "tone", Tone(frequency.Hertz, FormDb, ToneShape.Steady, ToneMs), FormDb))),
            .. _ears.SelectMany(ear => frequencies.SelectMany(frequency => Levels(ear, frequency, gear, quick))),
            .. _ears.SelectMany(Forms),
            .. maskers.Select((frequency, index) => Masker(_ears[index % 2], frequency)),
            .. _ears.SelectMany(ear => new[] { NoiseColour.Speech, NoiseColour.White, NoiseColour.Pink }.Select(colour => Broad(ear, colour))),
            .. _ears.Select(ear => new VerifyItem(VerifyTopic.Silence, ear, 0, "silence", null, AudioFormat.FramesOf(ToneMs), [])),
        ];
    }

    /// <summary>Time it takes to play them, about.</summary>
    public static TimeSpan Length(IReadOnlyList<VerifyItem> items) => TimeSpan.FromMilliseconds(items.Sum(item => AudioFormat.MillisecondsOf(item.Frames) + 600));

    private static IEnumerable<VerifyItem> Forms(Ear ear) =>
    [
        Single(VerifyTopic.RiseAndFall, ear, FormHertz, "rise and fall", Tone(FormHertz, FormDb, ToneShape.Steady, ToneMs), FormDb),
        Single(VerifyTopic.Pulses, ear, FormHertz, "pulses", Tone(FormHertz, FormDb, ToneShape.Pulsed, 4 * ToneMs), FormDb),
        Single(
            VerifyTopic.Warble,
            ear,
            FormHertz,
            "warble tone",
            Stimulus.Make(new WarbleSpec(FormHertz, Amplitude(FormDb), PlayOptions.WarbleRateHz, PlayOptions.WarbleDeviationPercent, ToneShape.Steady, 4 * ToneMs, AudioFormat.SampleRateHz)),
            FormDb),
    ];

    /// <summary>All levels of one ear and frequency, the loudest first, in pieces no longer than any stimulus may be.</summary>
    private static IEnumerable<VerifyItem> Levels(Ear ear, AudiometricFrequency frequency, Gear? gear, bool quick)
    {
        var levels = gear is null ? DigitalLevels(quick) : CalibratedLevels(gear, ear, frequency);
        var each = AudioFormat.FramesOf(LevelToneMs + GapMs);
        var most = (int)(AudioFormat.FramesOf(Presentation.LongestToneMs) / each);
        foreach (var piece in levels.Chunk(most))
        {
            var sounds = piece.Select((level, index) => (level, start: index * each, sound: (IStimulus)Tone(frequency.Hertz, level.LevelDb, ToneShape.Steady, LevelToneMs))).ToList();
            var row = new SoundRow([.. sounds.Select(sound => (sound.start, sound.sound))]);
            yield return new VerifyItem(
                VerifyTopic.Levels,
                ear,
                frequency.Hertz,
                "levels",
                row,
                row.TotalFrames,
                [.. sounds.Select(sound => new VerifySound(sound.start, sound.sound.TotalFrames, sound.level.LevelDb, sound.level.HearingLevelDb))]);
        }
    }

    private static IEnumerable<(double LevelDb, double? HearingLevelDb)> DigitalLevels(bool quick)
    {
        for (var level = HighestDb; level >= LowestDb; level -= quick ? 7 * StepDb : StepDb)
        {
            yield return (level, null);
        }
    }

    private static IEnumerable<(double LevelDb, double? HearingLevelDb)> CalibratedLevels(Gear gear, Ear ear, AudiometricFrequency frequency)
    {
        if (LevelChain.HighestPlayableDbHl(gear.Calibration!, ear, frequency) is not { } highest || gear.Kit.Ceilings.HighestFor(gear.Kit.TransducerKind, frequency) is not { } ceiling)
        {
            yield break;
        }

        for (var level = HearingLevels.RoundDownToStep(Math.Min(highest, ceiling)); level >= HearingLevels.LowestPresentedDbHl; level -= StepDb)
        {
            if (LevelChain.Resolve(gear.Calibration!, ear, frequency, HearingLevel.FromDecibels(level)) is LevelResult.Playable playable)
            {
                yield return (20 * Math.Log10(playable.PeakAmplitude), level);
            }
        }
    }

    private static VerifyItem Masker(Ear ear, AudiometricFrequency frequency) => Single(
        VerifyTopic.MaskerBand,
        ear,
        frequency.Hertz,
        "masking noise",
        Stimulus.Make(new NarrowBandNoiseSpec(frequency, Amplitude(NoiseDb), Seed, ToneShape.Steady, NoiseMs, AudioFormat.SampleRateHz)),
        NoiseDb);

    private static VerifyItem Broad(Ear ear, NoiseColour colour) => Single(
        VerifyTopic.BroadNoise,
        ear,
        0,
        string.Create(CultureInfo.InvariantCulture, $"{colour} noise").ToLowerInvariant(),
        Stimulus.Make(new BroadbandNoiseSpec(colour, Amplitude(NoiseDb), Seed, ToneShape.Steady, ShortNoiseMs, AudioFormat.SampleRateHz)),
        NoiseDb);

    private static VerifyItem Single(VerifyTopic topic, Ear ear, double hertz, string name, IStimulus sound, double levelDb) =>
        new(topic, ear, hertz, name, sound, sound.TotalFrames, [new VerifySound(0, sound.TotalFrames, levelDb, null)]);

    private static IStimulus Tone(double hertz, double levelDb, ToneShape shape, double durationMs) =>
        Stimulus.Make(new ToneSpec(hertz, Amplitude(levelDb), shape, durationMs, AudioFormat.SampleRateHz));

    private static double Amplitude(double decibels) => Math.Min(1, Math.Pow(10, decibels / 20));
}
