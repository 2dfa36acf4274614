using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>What is looked at in an item.</summary>
internal enum VerifyTopic
{
    /// <summary>Level, frequency, distortion, crosstalk, rise and fall of one steady tone. The other ear is silent.</summary>
    Tone,

    /// <summary>A row of tones, steady or of one pulse each, at every level of one frequency.</summary>
    ToneLevels,

    /// <summary>A row of warble tones or noises at every level.</summary>
    NoiseLevels,

    /// <summary>Times of a pulsed tone.</summary>
    Pulses,

    /// <summary>Swing of a warble tone.</summary>
    Warble,

    /// <summary>Level and shape of one whole period of a masking noise.</summary>
    MaskerBand,
    Silence,
}

/// <summary>One sound in an item, with what it should come out as.</summary>
/// <param name="StartFrame">Where it starts in the item.</param>
/// <param name="Frames">Its length.</param>
/// <param name="LevelDb">Level it should have: dB of digital full scale, of the peak for tones, of the RMS for noises.</param>
/// <param name="SetDb">The level as a person sets it; absent where the calibration gives this sound none.</param>
/// <param name="SetUnit">Unit of what is set.</param>
internal sealed record VerifySound(long StartFrame, long Frames, double LevelDb, double? SetDb, string SetUnit);

/// <summary>One stretch that is played in one piece into one ear.</summary>
/// <param name="Topic">What is looked at.</param>
/// <param name="Ear">Ear it goes to.</param>
/// <param name="Hertz">Frequency in Hz; 0 for sounds without one.</param>
/// <param name="Name">Name for people.</param>
/// <param name="Stimulus">The sound; absent for silence.</param>
/// <param name="Frames">Its length.</param>
/// <param name="Sounds">What is in it.</param>
internal sealed record VerifyItem(VerifyTopic Topic, Ear Ear, double Hertz, string Name, IStimulus? Stimulus, long Frames, IReadOnlyList<VerifySound> Sounds)
{
    /// <summary>Whether it may be played together with its like in the other ear: what is looked at in it does not ask that the other ear be silent.</summary>
    public bool SharesTime => Topic is not (VerifyTopic.Tone or VerifyTopic.Silence);
}

/// <summary>What is played at one time: one item, or the same kind of item in both ears.</summary>
/// <param name="Items">One item, or one for each ear.</param>
internal sealed record VerifyTurn(IReadOnlyList<VerifyItem> Items)
{
    /// <summary>Length of the longest.</summary>
    public long Frames => Items.Max(item => item.Frames);

    /// <summary>Puts neighbours together that may be played at one time.</summary>
    public static IReadOnlyList<VerifyTurn> Of(IReadOnlyList<VerifyItem> items)
    {
        var turns = new List<VerifyTurn>();
        for (var index = 0; index < items.Count; index++)
        {
            var (item, next) = (items[index], index + 1 < items.Count ? items[index + 1] : null);
            var together = item.SharesTime && next is not null && next.Ear != item.Ear && (next.Topic, next.Hertz, next.Name) == (item.Topic, item.Hertz, item.Name);
            turns.Add(new VerifyTurn(together ? [item, next!] : [item]));
            index += together ? 1 : 0;
        }

        return turns;
    }
}

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
