using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Presentations by hand and threshold searches.</summary>
internal static class ThresholdSteps
{
    /// <summary>Length of a tone in a search, ms: 1 to 2 s (ISO 8253-1:2010, 6.2.1).</summary>
    public const double SearchToneMs = 1200;

    /// <summary>One tone by hand.</summary>
    public static async Task<StepConclusion> PresentAsync(StepContext context, PresentToneStep request)
    {
        var frequency = AudiometricFrequency.FromHertz(request.FrequencyHz);
        var plan = new TrialPlan(request.Ear, frequency, HearingLevel.FromDecibels(request.LevelDbHl), TrialKind.Tone, request.Shape, Ascending: false, request.DurationMs)
        {
            MaskerDbEm = request.MaskerDbEm,
        };
        await new TrialPlayer(context, frequency, byHand: true).PlayAsync(plan);
        return StepConclusion.Completed();
    }

    /// <summary>Several searches at one ear, in the order given.</summary>
    public static async Task<StepConclusion> SearchAsync(StepContext context, Ear ear, IReadOnlyList<int> frequenciesHz, StoppingRule rule, ToneShape shape)
    {
        var trialNumber = 0;
        foreach (var hertz in frequenciesHz)
        {
            trialNumber = await SearchOneAsync(context, ear, AudiometricFrequency.FromHertz(hertz), rule, shape, trialNumber);
        }

        return StepConclusion.Completed();
    }

    private static async Task<int> SearchOneAsync(StepContext context, Ear ear, AudiometricFrequency frequency, StoppingRule rule, ToneShape shape, int trialNumber)
    {
        var maximum = context.Ceilings.HighestDbHl(context.Order, ear, frequency)
            ?? throw new StepBrokenException(StepConclusion.Failed(RefusalCodes.OverCeiling, $"Nothing may be played at {frequency} with this kit."));
        var bound = context.RoomBound(frequency);
        var search = new ThresholdSearch(new SearchSettings(rule, HearingLevels.LowestPresentedDbHl, maximum, bound), context.Random);
        var player = new TrialPlayer(context, frequency, byHand: false, trialNumber);
        var trials = new List<TrialRecord>();
        while (true)
        {
            switch (search.Next)
            {
                case SearchMove.PresentTone tone:
                    await PlayAsync(new TrialPlan(ear, frequency, tone.Level, TrialKind.Tone, shape, tone.Ascending, SearchToneMs) { MaskerDbEm = tone.MaskerDbEm });
                    break;
                case SearchMove.PresentCatch silence:
                    await PlayAsync(new TrialPlan(ear, frequency, silence.Level, TrialKind.Catch, shape, Ascending: false, SearchToneMs) { MaskerDbEm = silence.MaskerDbEm });
                    break;
                case SearchMove.Finished finished:
                    context.Write(new ThresholdFound(new ThresholdRecord(context.Order.StepId, ear, frequency.Hertz, finished.Outcome, rule, trials, context.Ceilings.GearUsed(), bound)));
                    return trialNumber + trials.Count;
                default:
                    throw new InvalidOperationException("The search wants something this kit does not know.");
            }
        }

        async Task PlayAsync(TrialPlan plan)
        {
            var trial = await player.PlayAsync(plan);
            trials.Add(trial);
            search.Record(trial.Verdict switch
            {
                TrialVerdict.Heard or TrialVerdict.FalseResponse => TrialAnswer.Heard,
                TrialVerdict.NotHeard or TrialVerdict.CorrectSilence => TrialAnswer.NotHeard,
                _ => TrialAnswer.NoiseVoid,
            });
        }
    }
}
