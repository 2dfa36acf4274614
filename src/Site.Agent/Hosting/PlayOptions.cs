using System.Globalization;
using System.Runtime.InteropServices;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>What the command line of <c>play</c> says.</summary>
/// <param name="Stimulus">Kind of sound.</param>
/// <param name="FrequencyHz">Frequency, or middle of the band, in Hz.</param>
/// <param name="LevelDbFullScale">Level in dB of digital full scale: of the peak for tones, of the RMS for noises.</param>
/// <param name="Shape">Steady or pulsed.</param>
/// <param name="DurationMs">Length in ms.</param>
/// <param name="Ears">Where it goes.</param>
/// <param name="Seed">Seed of a noise.</param>
/// <param name="MaskerDbFullScale">Level of a narrow band of noise in the other ear, dB of digital full scale, RMS; absent for none.</param>
/// <param name="OutFile">The file.</param>
internal sealed record PlayOptions(
    StimulusKind Stimulus,
    double FrequencyHz,
    double LevelDbFullScale,
    ToneShape Shape,
    double DurationMs,
    EarChoice Ears,
    long Seed,
    double? MaskerDbFullScale,
    string OutFile)
{
    private static readonly double _highestNoiseDb = Math.Floor(-200 * Math.Log10(NoiseSpec.HighestCrestFactor)) / 10;

    /// <summary>Writes the sound to its file.</summary>
    /// <exception cref="FatalFaultException">It cannot be made as asked; the message names everything wrong.</exception>
    public void Write()
    {
        var sound = Make(Spec(Stimulus, LevelDbFullScale));
        var masker = MaskerDbFullScale is { } level ? Make(Spec(StimulusKind.NarrowBand, level)) : null;
        if (masker is not null && Ears == EarChoice.Both)
        {
            throw new FatalFaultException("A masker goes to the other ear: choose --ear left or --ear right.");
        }

        var (left, right) = Ears switch
        {
            EarChoice.Left => (sound, masker),
            EarChoice.Right => (masker, sound),
            _ => (sound, sound),
        };
        using var file = new FileStream(OutFile, FileMode.Create, FileAccess.Write);
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

    private static IStimulus Make(StimulusSpec spec) => spec.Faults() is { Count: > 0 } faults ? throw new FatalFaultException(string.Join(" ", faults)) : Audiology.Signals.Stimulus.Make(spec);

    private StimulusSpec Spec(StimulusKind kind, double levelDb)
    {
        var highestDb = kind is StimulusKind.Tone or StimulusKind.Warble ? 0 : _highestNoiseDb;
        if (kind != StimulusKind.Silence && !(levelDb <= highestDb))
        {
            throw new FatalFaultException(string.Create(CultureInfo.InvariantCulture, $"The level of {kind.ToString().ToLowerInvariant()} must be {highestDb:0.0} dB of digital full scale or less, not {levelDb}, so that its peaks fit. Nothing was written."));
        }

        var amplitude = Math.Pow(10, levelDb / 20);
        return kind switch
        {
            StimulusKind.Tone => new ToneSpec(FrequencyHz, amplitude, Shape, DurationMs, AudioFormat.SampleRateHz),
            StimulusKind.Warble => new WarbleSpec(FrequencyHz, amplitude, WarbleRateHz, WarbleDeviationPercent, Shape, DurationMs, AudioFormat.SampleRateHz),
            StimulusKind.NarrowBand => new NarrowBandNoiseSpec(Centre(), amplitude, Seed, Shape, DurationMs, AudioFormat.SampleRateHz),
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

    private BroadbandNoiseSpec Broad(NoiseColour colour, double rms) => new(colour, rms, Seed, Shape, DurationMs, AudioFormat.SampleRateHz);

    private AudiometricFrequency Centre() => FrequencyHz == Math.Floor(FrequencyHz) && AudiometricFrequency.TryFromHertz((int)FrequencyHz, out var frequency)
        ? frequency
        : throw new FatalFaultException(string.Create(CultureInfo.InvariantCulture, $"{FrequencyHz} Hz is no audiometric frequency; a band of noise lies around one."));
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
