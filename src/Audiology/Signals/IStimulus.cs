namespace TeleHearing.Audiology.Signals;

/// <summary>The samples of a sound for one ear, each a function of its place alone.</summary>
/// <remarks>
/// Whatever the size, order or repetition of the blocks asked for, a frame always has the same sample, bit for bit. So a stream that is picked up again has
/// no click, and what was played can be made again from its specification. Safe to use from several threads.
/// </remarks>
public interface IStimulus
{
    /// <summary>Length in frames, from the first to the last sample that may differ from zero.</summary>
    long TotalFrames { get; }

    /// <summary>Writes the samples from <paramref name="startFrame"/> on; zeros before frame 0 and from <see cref="TotalFrames"/> on.</summary>
    /// <param name="startFrame">Index of the first frame to write, counted from the start of the sound; may be negative.</param>
    /// <param name="mono">Where to write one channel; digital full scale is 1.</param>
    void Render(long startFrame, Span<float> mono);
}
