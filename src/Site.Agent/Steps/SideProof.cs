using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Clear tones left and right in random order; the person names the side.</summary>
internal static class SideProof
{
    /// <inheritdoc cref="ProveSidesStep.ToneMs"/>
    public const double ToneMs = ProveSidesStep.ToneMs;

    /// <summary>How long an answer may take: unhurried people need time, and an unanswered tone only repeats the proof (design).</summary>
    public static readonly TimeSpan AnswerLimit = TimeSpan.FromSeconds(30);
    private const double ShortestLeadMs = 1200;
    private const double LongestLeadMs = 2500;

    public static async Task<StepConclusion> RunAsync(StepContext context, ProveSidesStep request)
    {
        var frequency = AudiometricFrequency.FromHertz(request.FrequencyHz);
        var level = HearingLevel.FromDecibels(request.LevelDbHl);
        var trials = new List<SideTrial>();
        foreach (var side in Order(request.TrialCount, context.Random))
        {
            var result = await PlayAsync(context, side, frequency, level);
            if (result.End != PresentationEnd.Complete)
            {
                throw new StepBrokenException(context.Conclude(result));
            }

            trials.Add(new SideTrial(side, await context.Sides.TakeAsync(AnswerLimit, context.Time, context.Token)));
        }

        return StepConclusion.Completed(new SideProofResult(trials));
    }

    /// <summary>Random sides, each at least twice from four tones on, so that an ear that answers nothing is told from a moment's inattention; once of fewer.</summary>
    internal static IReadOnlyList<Ear> Order(int count, Random random)
    {
        var least = count >= 4 ? 2 : 1;
        Ear[] sides =
        [
            .. Enumerable.Repeat(Ear.Right, least),
            .. Enumerable.Repeat(Ear.Left, least),
            .. Enumerable.Range(0, Math.Max(0, count - (2 * least))).Select(_ => random.Next(2) == 0 ? Ear.Right : Ear.Left),
        ];
        random.Shuffle(sides);
        return sides;
    }

    private static async Task<PresentationResult> PlayAsync(StepContext context, Ear side, AudiometricFrequency frequency, HearingLevel level)
    {
        var allowed = context.Ceilings.Check(context.Order, side, frequency, level, ToneMs);
        if (allowed.Refusal is { } refusal)
        {
            throw new StepBrokenException(StepConclusion.Failed(refusal.Code, $"{refusal.Sentence} {refusal.Remedy}"));
        }

        var tone = new ToneSynthesizer(new ToneSpec(frequency.Hertz, allowed.PeakAmplitude, ToneShape.Pulsed, ToneMs, AudioFormat.SampleRateHz));
        var presentation = new Presentation
        {
            LeadFrames = AudioFormat.FramesOf(ShortestLeadMs + (context.Random.NextDouble() * (LongestLeadMs - ShortestLeadMs))),
            BodyFrames = tone.TotalFrames,
            TailFrames = AudioFormat.FramesOf(Presentation.LastLookMs),
            Tone = tone,
            Ear = side,
            NeedsLease = true,
        };
        // an answer counts from the moment the tone sounds, not from the silence before it
        void OpenWhenItSounds(bool on)
        {
            if (on)
            {
                context.Sides.Open();
            }
        }

        context.Engine.SoundChanged += OpenWhenItSounds;
        try
        {
            var result = await context.Engine.PresentAsync(presentation, context.Token);
            context.Ceilings.NotePresented(context.Order.SessionId, level, result.End == PresentationEnd.Complete);
            return result;
        }
        finally
        {
            context.Engine.SoundChanged -= OpenWhenItSounds;
        }
    }
}
