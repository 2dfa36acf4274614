using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>Puts a presentation's sounds into blocks of left and right samples, to the frame.</summary>
internal sealed class BlockMixer
{
    private readonly float[] _mono = new float[AudioFormat.BlockFrames];

    /// <summary>Fills one block.</summary>
    /// <param name="running">The presentation.</param>
    /// <param name="start">First frame of the block on the kit clock.</param>
    /// <param name="fall">Whether this is the last block: what sounds already falls to silence in it, what has not begun does not begin.</param>
    /// <param name="stereo">The block, silent so far.</param>
    /// <returns>Whether part of a sound is in it.</returns>
    /// <exception cref="InvalidOperationException">A sound goes beyond full scale or is not a number; the block must not be played.</exception>
    public bool Render(RunningPresentation running, long start, bool fall, Span<float> stereo)
    {
        var presentation = running.Presentation;
        var tone = presentation.Ear == Ear.Left ? 0 : 1;
        var masked = false;
        if (presentation.Masker is { } masker)
        {
            var end = running.StartFrame + Math.Min(masker.TotalFrames, presentation.TotalFrames);
            masked = Add(masker, running.StartFrame, end, start, fall, stereo, 1 - tone);
        }

        var toned = presentation.Tone is { } stimulus
            && Add(stimulus, running.OnsetFrame, running.OnsetFrame + Math.Min(presentation.BodyFrames, stimulus.TotalFrames), start, fall, stereo, tone);
        return masked || toned;
    }

    private bool Add(IStimulus stimulus, long first, long end, long start, bool fall, Span<float> stereo, int channel)
    {
        var from = Math.Max(start, first);
        var to = Math.Min(start + AudioFormat.BlockFrames, end);
        if (from >= to || (fall && start <= first))
        {
            return false;
        }

        var mono = _mono.AsSpan(0, (int)(to - from));
        mono.Clear();
        stimulus.Render(from - first, mono);
        for (var index = 0; index < mono.Length; index++)
        {
            var place = (int)(from - start) + index;
            var gain = fall ? 0.5f * (1 + MathF.Cos(MathF.PI * (place + 1) / AudioFormat.BlockFrames)) : 1f;
            var sample = mono[index] * gain;
            if (!(MathF.Abs(sample) <= 1))
            {
                throw new InvalidOperationException("A sound beyond full scale, or that is not a number, was about to be played.");
            }

            stereo[(place * AudioFormat.Channels) + channel] = sample;
        }

        return true;
    }
}
