using System.Runtime.InteropServices;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>What the command line of <c>play</c> says. What it leaves out is absent, so that an option that does not apply to the sound is noticed.</summary>
/// <param name="Stimulus">Kind of sound.</param>
/// <param name="FrequencyHz">Frequency, or middle of the band, in Hz; absent for <see cref="UsualFrequencyHz"/>.</param>
/// <param name="LevelDbFullScale">Level in dB of digital full scale: of the peak for tones, of the RMS for noises; absent for <see cref="UsualLevelDb"/>.</param>
/// <param name="Shape">Steady or pulsed; absent for steady.</param>
/// <param name="DurationMs">Length in ms.</param>
/// <param name="Ears">Where it goes.</param>
/// <param name="Seed">Seed of a noise; absent for <see cref="UsualSeed"/>.</param>
/// <param name="MaskerDbFullScale">Level of a narrow band of noise in the other ear, dB of digital full scale, RMS; absent for none.</param>
/// <param name="OutFile">The file.</param>
internal sealed record PlayOptions(
    StimulusKind Stimulus,
    double? FrequencyHz,
    double? LevelDbFullScale,
    ToneShape? Shape,
    double DurationMs,
    EarChoice Ears,
    long? Seed,
    double? MaskerDbFullScale,
    string OutFile)
{
    /// <summary>Frequency when none is named, Hz.</summary>
    public const double UsualFrequencyHz = 1000;

    /// <summary>Level when none is named, dB of digital full scale.</summary>
    public const double UsualLevelDb = -20;

    /// <summary>Seed when none is named.</summary>
    public const long UsualSeed = 1;

    /// <summary>Frequency that is meant, Hz.</summary>
    public double FrequencyOrUsualHz => FrequencyHz ?? UsualFrequencyHz;

    /// <summary>Writes the sound to its file.</summary>
    /// <exception cref="CommandMistakeException">It cannot be made as asked, or its file cannot be written; the message names everything wrong, and nothing was written.</exception>
    public void Write()
    {
        if (PlayMistakes.Of(this) is { Count: > 0 } mistakes)
        {
            throw new CommandMistakeException(mistakes);
        }

        var sound = Audiology.Signals.Stimulus.Make(Spec(Stimulus, LevelDbFullScale ?? UsualLevelDb));
        var masker = MaskerDbFullScale is { } level ? Audiology.Signals.Stimulus.Make(Spec(StimulusKind.NarrowBand, level)) : null;
        var (left, right) = Ears switch
        {
            EarChoice.Left => (sound, masker),
            EarChoice.Right => (masker, sound),
            _ => (sound, sound),
        };
        using var file = OutPlaces.Create(OutFile);
        Span<byte> header = stackalloc byte[WaveHeader.Bytes];
        WaveHeader.Write(header, (uint)(sound.TotalFrames * AudioFormat.Channels * sizeof(float)));
        file.Write(header);
        var stereo = new float[AudioFormat.BlockFrames * AudioFormat.Channels];
        var mono = new float[AudioFormat.BlockFrames];
        for (long start = 0; start < sound.TotalFrames; start += AudioFormat.BlockFrames)
        {
            var frames = (int)Math.Min(AudioFormat.BlockFrames, sound.TotalFrames - start);
            Lay(left, start, mono.AsSpan(0, frames), stereo, 0);
            Lay(right, start, mono.AsSpan(0, frames), stereo, 1);
            file.Write(MemoryMarshal.AsBytes(stereo.AsSpan(0, frames * AudioFormat.Channels)));
        }
    }

    private static void Lay(IStimulus? sound, long start, Span<float> mono, Span<float> stereo, int channel)
    {
        mono.Clear();
        sound?.Render(start, mono);
        for (var index = 0; index < mono.Length; index++)
        {
            stereo[(index * AudioFormat.Channels) + channel] = mono[index];
        }
    }

    private StimulusSpec Spec(StimulusKind kind, double levelDb)
    {
        var amplitude = Math.Pow(10, levelDb / 20);
        return kind switch
        {
            StimulusKind.Tone => new ToneSpec(FrequencyOrUsualHz, amplitude, ShapeOrUsual, DurationMs, AudioFormat.SampleRateHz),
            StimulusKind.Warble => new WarbleSpec(FrequencyOrUsualHz, amplitude, WarbleRateHz, WarbleDeviationPercent, ShapeOrUsual, DurationMs, AudioFormat.SampleRateHz),
            StimulusKind.NarrowBand => new NarrowBandNoiseSpec(AudiometricFrequency.FromHertz(FrequencyOrUsualHz), amplitude, Seed ?? UsualSeed, ShapeOrUsual, DurationMs, AudioFormat.SampleRateHz),
            StimulusKind.Speech => Broad(NoiseColour.Speech, amplitude),
            StimulusKind.White => Broad(NoiseColour.White, amplitude),
            StimulusKind.Pink => Broad(NoiseColour.Pink, amplitude),
            _ => new SilenceSpec(DurationMs, AudioFormat.SampleRateHz),
        };
    }

    /// <summary>Modulation of a warble tone, inside the 4 to 20 Hz and 5 to 25 % of IEC 60645-1 (from memory); the values are this tool's choice.</summary>
    public const double WarbleRateHz = 5;

    /// <inheritdoc cref="WarbleRateHz"/>
    public const double WarbleDeviationPercent = 5;

    private ToneShape ShapeOrUsual => Shape ?? ToneShape.Steady;

    private BroadbandNoiseSpec Broad(NoiseColour colour, double rms) => new(colour, rms, Seed ?? UsualSeed, ShapeOrUsual, DurationMs, AudioFormat.SampleRateHz);
}

/// <summary>Kinds of sound that can be written.</summary>
internal enum StimulusKind
{
    Tone,
    Warble,
    NarrowBand,
    Speech,
    White,
    Pink,
    Silence,
}

/// <summary>Where a sound goes.</summary>
internal enum EarChoice
{
    Left,
    Right,
    Both,
}
