using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What is looked at in an item.</summary>
internal enum VerifyTopic
{
    /// <summary>Level, frequency, distortion and crosstalk of one steady tone.</summary>
    Tone,

    /// <summary>A row of tones at every level of one frequency.</summary>
    Levels,
    RiseAndFall,
    Pulses,
    Warble,
    MaskerBand,

    /// <summary>Level of a broad noise.</summary>
    BroadNoise,
    Silence,
}

/// <summary>One sound in an item, with what it should come out as.</summary>
/// <param name="StartFrame">Where it starts in the item.</param>
/// <param name="Frames">Its length.</param>
/// <param name="LevelDb">Level it should have: dB of digital full scale, of the peak for tones, of the RMS for noises.</param>
/// <param name="HearingLevelDb">The same as a hearing level; absent without a calibration.</param>
internal sealed record VerifySound(long StartFrame, long Frames, double LevelDb, double? HearingLevelDb);

/// <summary>One stretch that is played in one piece into one ear.</summary>
/// <param name="Topic">What is looked at.</param>
/// <param name="Ear">Ear it goes to.</param>
/// <param name="Hertz">Frequency in Hz; 0 for sounds without one.</param>
/// <param name="Name">Name for people.</param>
/// <param name="Stimulus">The sound; absent for silence.</param>
/// <param name="Frames">Its length.</param>
/// <param name="Sounds">What is in it.</param>
internal sealed record VerifyItem(VerifyTopic Topic, Ear Ear, double Hertz, string Name, IStimulus? Stimulus, long Frames, IReadOnlyList<VerifySound> Sounds);

/// <summary>Sounds one after another.</summary>
internal sealed class SoundRow(IReadOnlyList<(long Start, IStimulus Sound)> sounds) : IStimulus
{
    public long TotalFrames { get; } = sounds.Max(sound => sound.Start + sound.Sound.TotalFrames);

    public void Render(long startFrame, Span<float> mono)
    {
        mono.Clear();
        foreach (var (start, sound) in sounds)
        {
            var from = (int)Math.Clamp(start - startFrame, 0, mono.Length);
            var to = (int)Math.Clamp(start + sound.TotalFrames - startFrame, 0, mono.Length);
            if (to > from)
            {
                sound.Render(startFrame + from - start, mono[from..to]);
            }
        }
    }
}
