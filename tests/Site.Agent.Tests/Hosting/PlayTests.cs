using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Hosting;

public sealed class PlayTests
{
    private static PlayOptions Options(TempFolder folder) => new(StimulusKind.Tone, 1000, -20, ToneShape.Steady, 500, EarChoice.Left, 1, null, folder.Inside("sound.wav"));

    public static TheoryData<string> Kinds => [.. Enum.GetNames<StimulusKind>()];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void EveryKindOfSoundIsWrittenSampleForSample(string name)
    {
        using var folder = new TempFolder();
        var kind = Enum.Parse<StimulusKind>(name);

        (Options(folder) with { Stimulus = kind, LevelDbFullScale = -30 }).Write();

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

        Assert.Contains("of tone must be 0.0 dB", Assert.Throws<FatalFaultException>((Options(folder) with { LevelDbFullScale = 3 }).Write).Message, StringComparison.Ordinal);
        Assert.Contains("of narrowband must be -12.1 dB", Assert.Throws<FatalFaultException>((Options(folder) with { MaskerDbFullScale = -12 }).Write).Message, StringComparison.Ordinal);
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
        ];

        Assert.All(nonsense, options => Assert.NotEmpty(Assert.Throws<FatalFaultException>(options.Write).Message));
        Assert.False(File.Exists(folder.Inside("sound.wav")));
    }
}
