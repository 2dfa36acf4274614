using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Signals;
using TeleHearing.Testing;

namespace TeleHearing.Audiology.Tests.Signals;

/// <summary>Makes every kind of sound once and has scipy measure all of them in one run.</summary>
public sealed class MeasuredStimuli : IAsyncLifetime
{
    private const int SampleRateHz = 48_000;

    /// <summary>Plateau of a tone of 100 ms.</summary>
    private const int ShortPlateauFrames = 1440;
    private const double ShortToneMs = 100;

    private static readonly (TransducerKind Kind, Coupler Coupler)[] _gear =
    [
        (TransducerKind.SupraAural, Coupler.Iec60318Part1),
        (TransducerKind.SupraAural, Coupler.Iec60318Part3),
        (TransducerKind.Insert, Coupler.Iec60318Part4),
        (TransducerKind.Insert, Coupler.Iec60318Part5),
        (TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate),
        (TransducerKind.HighFrequencyInsert, Coupler.Iec60318Part4),
    ];

    private readonly List<float> _samples = [];

    internal Measured Result { get; private set; } = null!;

    public async ValueTask InitializeAsync()
    {
        var input = new
        {
            SampleRateHz,
            Levels = _gear.SelectMany(Levels).ToList(),
            Purity = AudiometricFrequency.Both.SelectMany(frequency => new[] { 1, 0.001 }.Select(peak => Tone(frequency, peak, ToneShape.Steady, 1200, 4800, SampleRateHz))).ToList(),
            Ramps = AudiometricFrequency.Both.Select(frequency => Tone(frequency, 0.5, ToneShape.Steady, 500)).ToList(),
            Pulses = AudiometricFrequency.Both.Select(frequency => Tone(frequency, 0.5, ToneShape.Pulsed, 1500)).ToList(),
            Bands = Bands().ToList(),
            Broad = Broad().ToList(),
            Warbles = Warbles().ToList(),
        };
        using var scipy = new ScipyCheck();
        scipy.WriteSamples("samples.f32", _samples.ToArray());
        Result = await scipy.RunAsync<Measured>(Path.Combine("Signals", "measure_stimuli.py"), input, TestContext.Current.CancellationToken);
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    /// <summary>Every frequency from -10 dB HL to its ceiling in 1 dB steps (each fifth is a 5 dB step), the ears in turn.</summary>
    private IEnumerable<object> Levels((TransducerKind Kind, Coupler Coupler) gear)
    {
        var record = Record(gear.Kind, gear.Coupler);
        foreach (var frequency in AudiometricFrequency.Both.Where(frequency => record.Find(Ear.Left, frequency) is not null))
        {
            var offset = _samples.Count;
            var levels = Enumerable.Range(-10, (int)Math.Round(record.Find(Ear.Left, frequency)!.MaximumDbHl) + 11).ToList();
            var fullScale = new List<double>();
            foreach (var level in levels)
            {
                var ear = level % 2 == 0 ? Ear.Left : Ear.Right;
                var amplitude = Assert.IsType<LevelResult.Playable>(LevelChain.Resolve(record, ear, frequency, HearingLevel.FromDecibels(level))).PeakAmplitude;
                Add(new ToneSpec(frequency.Hertz, amplitude, ToneShape.Steady, ShortToneMs, SampleRateHz), 1680, ShortPlateauFrames);
                fullScale.Add(record.Find(ear, frequency)!.SplAtFullScaleDb);
            }

            yield return new { Gear = $"{gear.Kind}/{gear.Coupler}", frequency.Hertz, Offset = offset, Frames = ShortPlateauFrames, LevelsDbHl = levels, SplAtFullScaleDb = fullScale };
        }
    }

    private object Tone(AudiometricFrequency frequency, double peak, ToneShape shape, double durationMs, int from = 0, int frames = int.MaxValue)
    {
        var offset = _samples.Count;
        var length = Add(new ToneSpec(frequency.Hertz, peak, shape, durationMs, SampleRateHz), from, frames);
        return new { frequency.Hertz, Peak = peak, Offset = offset, Frames = length };
    }

    /// <summary>A masker of 45 dB at every frequency that has a correction, for each gear in turn; above, a band of 60 dB SPL.</summary>
    private IEnumerable<object> Bands()
    {
        foreach (var (frequency, i) in AudiometricFrequency.Both.Select((frequency, i) => (frequency, i)))
        {
            var high = frequency.Hertz > 8000;
            var (kind, coupler) = high ? _gear[4] : _gear[i % 5];
            var record = Record(kind, coupler);
            var level = high ? NoiseLevelChain.NarrowBand(record, Ear.Left, frequency, 60) : NoiseLevelChain.Masker(record, Ear.Left, frequency, HearingLevel.FromDecibels(45));
            var spec = new NarrowBandNoiseSpec(frequency, Assert.IsType<LevelResult.PlayableNoise>(level).Rms, 100 + i, ToneShape.Steady, 5800, SampleRateHz);
            var (offset, frames) = OnePeriod(spec);
            yield return new { frequency.Hertz, Gear = high ? null : $"{kind}/{coupler}", record.Find(Ear.Left, frequency)!.SplAtFullScaleDb, Offset = offset, Frames = frames };
        }
    }

    private IEnumerable<object> Broad()
    {
        var record = Record(TransducerKind.Insert, Coupler.Iec60318Part4);
        var fullScale = record.Find(Ear.Right, AudiometricFrequency.FromHertz(1000))!.SplAtFullScaleDb;
        (NoiseColour Colour, LevelResult Level, double FromHz, double ToHz, double[][] StretchesHz)[] noises =
        [
            (NoiseColour.Speech, NoiseLevelChain.Speech(record, Ear.Right, HearingLevel.FromDecibels(40)), 100, 6000, [[105, 1000], [1000, 6000]]),
            (NoiseColour.White, NoiseLevelChain.Broadband(record, Ear.Right, 70), 20, 20_000, [[25, 19_900]]),
            (NoiseColour.Pink, NoiseLevelChain.Broadband(record, Ear.Right, 70), 20, 20_000, [[25, 19_900]]),
        ];
        foreach (var noise in noises)
        {
            var spec = new BroadbandNoiseSpec(noise.Colour, Assert.IsType<LevelResult.PlayableNoise>(noise.Level).Rms, 7, ToneShape.Steady, 5800, SampleRateHz);
            var (offset, frames) = OnePeriod(spec);
            yield return new { Colour = noise.Colour.ToString(), noise.FromHz, noise.ToHz, noise.StretchesHz, SplAtFullScaleDb = fullScale, Offset = offset, Frames = frames };
        }
    }

    private IEnumerable<object> Warbles()
    {
        (int Hertz, double RateHz, double Percent)[] warbles = [(250, 5, 5), (500, 4, 10), (1000, 5, 5), (2000, 20, 5), (4000, 10, 25), (8000, 6, 12.5)];
        foreach (var (hertz, rate, percent) in warbles)
        {
            var offset = _samples.Count;
            var frames = Add(new WarbleSpec(hertz, 0.4, rate, percent, ToneShape.Steady, 3000, SampleRateHz), 0, int.MaxValue);
            yield return new { Hertz = hertz, RateHz = rate, Percent = percent, Offset = offset, Frames = frames };
        }
    }

    /// <summary>One whole period out of the plateau of a noise.</summary>
    private (int Offset, int Frames) OnePeriod(NoiseSpec spec)
    {
        var noise = Assert.IsType<NoiseSynthesizer>(Stimulus.Make(spec));
        var offset = _samples.Count;
        return (offset, Add(noise, 2400, noise.PeriodFrames));
    }

    private int Add(StimulusSpec spec, int from, int frames) => Add(Stimulus.Make(spec), from, frames);

    private int Add(IStimulus sound, int from, int frames)
    {
        var samples = new float[Math.Min(frames, (int)sound.TotalFrames - from)];
        sound.Render(from, samples);
        _samples.AddRange(samples);
        return samples.Length;
    }

    /// <summary>Calibrated differently at every ear and frequency, so that a mix-up shows; the ceilings are the usual ones.</summary>
    private static CalibrationRecord Record(TransducerKind kind, Coupler coupler) => CalibrationRecords.Usual() with
    {
        TransducerKind = kind,
        Coupler = coupler,
        Entries =
        [
            .. from ear in new[] { Ear.Right, Ear.Left }
               from ceiling in CeilingRules.Usual(kind).Ceilings
               select new CalibrationEntry(ear, ceiling.FrequencyHz, 136 + (ear == Ear.Left ? 1.7 : 0) + (ceiling.FrequencyHz % 7 * 0.31), ceiling.MaximumDbHl),
        ],
    };
}
