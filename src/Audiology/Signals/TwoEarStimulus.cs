namespace TeleHearing.Audiology.Signals;

/// <summary>What goes to the two ears at the same time. An ear without a sound gets exact zeros.</summary>
/// <param name="Right">Sound for the right ear; absent for none.</param>
/// <param name="Left">Sound for the left ear; absent for none.</param>
public sealed record TwoEarStimulus(IStimulus? Right, IStimulus? Left)
{
    private const int ChunkFrames = 512;

    /// <summary>Length in frames: that of the longer sound.</summary>
    public long TotalFrames => Math.Max(Right?.TotalFrames ?? 0, Left?.TotalFrames ?? 0);

    /// <summary>A sound for one ear alone.</summary>
    public static TwoEarStimulus ToOneEar(Ear ear, IStimulus sound) => ear == Ear.Right ? new(sound, null) : new(null, sound);

    /// <summary>The same sound for both ears.</summary>
    public static TwoEarStimulus ToBothEars(IStimulus sound) => new(sound, sound);

    /// <summary>A sound for one ear while a masker is in the other.</summary>
    /// <param name="ear">Ear under test.</param>
    /// <param name="sound">What is tested.</param>
    /// <param name="masker">What the other ear hears, from frame 0 on.</param>
    /// <param name="soundFromFrame">Frame at which the sound begins, 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The sound would begin before the masker.</exception>
    public static TwoEarStimulus Masked(Ear ear, IStimulus sound, IStimulus masker, long soundFromFrame)
    {
        ArgumentNullException.ThrowIfNull(sound);
        ArgumentOutOfRangeException.ThrowIfNegative(soundFromFrame);
        var later = soundFromFrame == 0 ? sound : new Later(sound, soundFromFrame);
        return ear == Ear.Right ? new(later, masker) : new(masker, later);
    }

    /// <summary>The sound of one ear; absent when it gets none.</summary>
    public IStimulus? For(Ear ear) => ear == Ear.Right ? Right : Left;

    /// <summary>Writes both channels from a frame on, interleaved, left first.</summary>
    /// <param name="startFrame">Index of the first frame to write.</param>
    /// <param name="stereo">Where to write; an even number of samples.</param>
    /// <exception cref="ArgumentException">The number of samples is odd.</exception>
    public void Render(long startFrame, Span<float> stereo)
    {
        if (stereo.Length % 2 != 0)
        {
            throw new ArgumentException("Two channels need an even number of samples.", nameof(stereo));
        }

        stereo.Clear();
        RenderChannel(Left, 0, startFrame, stereo);
        RenderChannel(Right, 1, startFrame, stereo);
    }

    private static void RenderChannel(IStimulus? sound, int channel, long startFrame, Span<float> stereo)
    {
        if (sound is null)
        {
            return;
        }

        Span<float> chunk = stackalloc float[ChunkFrames];
        for (var place = 0; place < stereo.Length / 2; place += ChunkFrames)
        {
            var part = chunk[..Math.Min(ChunkFrames, (stereo.Length / 2) - place)];
            sound.Render(startFrame + place, part);
            for (var i = 0; i < part.Length; i++)
            {
                stereo[(2 * (place + i)) + channel] = part[i];
            }
        }
    }

    /// <summary>A sound that begins later.</summary>
    private sealed class Later(IStimulus sound, long frames) : IStimulus
    {
        public long TotalFrames => sound.TotalFrames + frames;

        public void Render(long startFrame, Span<float> mono) => sound.Render(startFrame - frames, mono);
    }
}
