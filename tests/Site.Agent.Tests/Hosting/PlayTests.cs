using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Hosting;

public sealed class PlayTests
{
    private static PlayOptions Options(TempFolder folder) => new(StimulusKind.Tone, null, null, null, 500, EarChoice.Left, null, null, folder.Inside("sound.wav"));

    public static TheoryData<string> Kinds => [.. Enum.GetNames<StimulusKind>()];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void EveryKindOfSoundIsWrittenSampleForSample(string name)
    {
        using var folder = new TempFolder();
        var kind = Enum.Parse<StimulusKind>(name);

        (Options(folder) with { Stimulus = kind, LevelDbFullScale = kind == StimulusKind.Silence ? null : -30 }).Write();

        var samples = WavFile.ReadFloats(folder.Inside("sound.wav"));
        Assert.Equal(24_000 * 2, samples.Length);
        Assert.All(Enumerable.Range(0, 24_000), frame => Assert.Equal(0f, samples[(frame * 2) + 1]));
        Assert.Equal(kind == StimulusKind.Silence, samples.All(sample => sample == 0));
    }

    [Fact]
    public void AToneIsWhatTheKitWouldPlayAndTheMaskerIsInTheOtherEar()
    {
        using var folder = new TempFolder();
        (Options(folder) with { MaskerDbFullScale = -40 }).Write();

        var samples = WavFile.ReadFloats(folder.Inside("sound.wav"));
        var (tone, masker) = (new float[24_000], new float[24_000]);
        Stimulus.Make(new ToneSpec(1000, 0.1, ToneShape.Steady, 500, AudioFormat.SampleRateHz)).Render(0, tone);
        Stimulus.Make(new NarrowBandNoiseSpec(AudiometricFrequency.FromHertz(1000), 0.01, 1, ToneShape.Steady, 500, AudioFormat.SampleRateHz)).Render(0, masker);
        Assert.Equal(tone, samples.Where((_, index) => index % 2 == 0));
        Assert.Equal(masker, samples.Where((_, index) => index % 2 == 1));
    }

    [Fact]
    public void ALevelTooHighIsNamedInTheWordsOfTheCommand()
    {
        using var folder = new TempFolder();

        Assert.Contains("--level of tone must be 0.0 dB", Assert.Throws<CommandMistakeException>((Options(folder) with { LevelDbFullScale = 3 }).Write).Message, StringComparison.Ordinal);
        Assert.StartsWith("--masker must be -12.1 dB of digital full scale or less", Assert.Throws<CommandMistakeException>((Options(folder) with { MaskerDbFullScale = -12 }).Write).Message, StringComparison.Ordinal);
        (Options(folder) with { Stimulus = StimulusKind.Pink, LevelDbFullScale = -12.1 }).Write();
    }

    [Fact]
    public void NonsenseIsRefusedInWordsAndNothingIsWritten()
    {
        using var folder = new TempFolder();
        PlayOptions[] nonsense =
        [
            Options(folder) with { LevelDbFullScale = 3 },
            Options(folder) with { LevelDbFullScale = double.NaN },
            Options(folder) with { FrequencyHz = 24_000 },
            Options(folder) with { FrequencyHz = -1 },
            Options(folder) with { DurationMs = 5 },
            Options(folder) with { Stimulus = StimulusKind.NarrowBand, FrequencyHz = 1001, LevelDbFullScale = -30 },
            Options(folder) with { Stimulus = StimulusKind.White, LevelDbFullScale = -3 },
            Options(folder) with { Ears = EarChoice.Both, MaskerDbFullScale = -40 },
            Options(folder) with { Stimulus = StimulusKind.Pink, FrequencyHz = 1000 },
            Options(folder) with { Stimulus = StimulusKind.Silence, LevelDbFullScale = -20 },
            Options(folder) with { Stimulus = StimulusKind.Silence, Shape = ToneShape.Pulsed },
            Options(folder) with { Seed = 7 },
        ];

        Assert.All(nonsense, options => Assert.NotEmpty(Assert.Throws<CommandMistakeException>(options.Write).Message));
        Assert.False(File.Exists(folder.Inside("sound.wav")));
    }

    [Fact]
    public void AMaskerHasAFrequencyAndASeedWhateverItMasks()
    {
        using var folder = new TempFolder();

        (Options(folder) with { Stimulus = StimulusKind.White, LevelDbFullScale = -30, MaskerDbFullScale = -40, FrequencyHz = 4000, Seed = 7 }).Write();

        var masker = new float[24_000];
        Stimulus.Make(new NarrowBandNoiseSpec(AudiometricFrequency.FromHertz(4000), 0.01, 7, ToneShape.Steady, 500, AudioFormat.SampleRateHz)).Render(0, masker);
        Assert.Equal(masker, WavFile.ReadFloats(folder.Inside("sound.wav")).Where((_, index) => index % 2 == 1));
    }

    [Fact]
    public void ABroadNoiseIsPulsedWhenAskedTo()
    {
        using var folder = new TempFolder();
        var pulsed = Options(folder) with { Stimulus = StimulusKind.Pink, LevelDbFullScale = -30, Shape = ToneShape.Pulsed, DurationMs = 1000 };

        pulsed.Write();

        // off from 225 to 450 ms (IEC 60645-1, from memory), with a fall of at most 50 ms in front
        var samples = WavFile.ReadFloats(folder.Inside("sound.wav"));
        Assert.All(Enumerable.Range(280 * 48, 140 * 48), frame => Assert.Equal(0f, samples[frame * 2]));
        Assert.Contains(Enumerable.Range(480 * 48, 100 * 48), frame => samples[frame * 2] != 0f);
    }
}
