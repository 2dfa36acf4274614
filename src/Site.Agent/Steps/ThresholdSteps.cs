using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Presentations by hand and threshold searches.</summary>
internal static class ThresholdSteps
{
    /// <summary>One tone by hand.</summary>
    public static async Task<StepConclusion> PresentAsync(StepContext context, PresentToneStep request)
    {
        var frequency = AudiometricFrequency.FromHertz(request.FrequencyHz);
        var plan = new TrialPlan(request.Ear, frequency, HearingLevel.FromDecibels(request.LevelDbHl), TrialKind.Tone, request.Shape, Ascending: false, request.DurationMs)
        {
            Route = request.Route,
            MaskerDbEm = request.MaskerDbEm,
        };
        await new TrialPlayer(context, frequency, byHand: true, route: request.Route).PlayAsync(plan);
        return StepConclusion.Completed();
    }

    /// <summary>One search, by the ascending rule, or by the plateau when it is masked.</summary>
    public static async Task<StepConclusion> SearchAsync(StepContext context, SearchThresholdStep step)
    {
        var frequency = AudiometricFrequency.FromHertz(step.FrequencyHz);
        var run = new ThresholdRun(context, step.Ear, step.Route, frequency, step.Shape, 0);
        var settings = Settings(context, step.Ear, frequency, step.Rule, step.Route);
        MaskingEvidence? evidence = null;
        ThresholdOutcome outcome;
        if (step.Masked)
        {
            (outcome, evidence) = await new MaskedSettings(context).RunAsync(run, step.MaskingRules is { } name && MaskingRules.ByName(name) is { } rules ? rules : MaskingRules.Usual, step.Known!, step.Ear, step.Route, frequency, settings, HearingLevels.StepDb);
        }
        else
        {
            outcome = await run.ToEndAsync(new ThresholdSearch(settings, context.Random));
        }

        Write(context, step.Ear, frequency, step.Rule, run, outcome, record => record with { Masking = evidence }, step.Route);
        return StepConclusion.Completed();
    }

    /// <summary>Several searches at one ear, in the order given.</summary>
    public static async Task<StepConclusion> SearchAsync(StepContext context, SearchEarStep step)
    {
        var trials = 0;
        foreach (var frequency in step.FrequenciesHz.Select(hertz => AudiometricFrequency.FromHertz(hertz)))
        {
            var run = new ThresholdRun(context, step.Ear, ConductionRoute.Air, frequency, step.Shape, trials);
            var outcome = await run.ToEndAsync(new ThresholdSearch(Settings(context, step.Ear, frequency, step.Rule), context.Random));
            Write(context, step.Ear, frequency, step.Rule, run, outcome, record => record);
            trials += run.Trials.Count;
        }

        return StepConclusion.Completed();
    }

    private static SearchSettings Settings(StepContext context, Ear ear, AudiometricFrequency frequency, StoppingRule rule, ConductionRoute route = ConductionRoute.Air) => new(
        rule,
        HearingLevels.LowestPresentedDbHl,
        context.Ceilings.HighestDbHl(context.Order, ear, frequency, route) ?? throw new StepBrokenException(StepConclusion.Failed(RefusalCodes.OverCeiling, $"Nothing may be played at {frequency} with this kit.")),
        context.RoomBound(frequency, route));

    private static void Write(StepContext context, Ear ear, AudiometricFrequency frequency, StoppingRule rule, ThresholdRun run, ThresholdOutcome outcome, Func<ThresholdRecord, ThresholdRecord> more, ConductionRoute route = ConductionRoute.Air) =>
        context.Write(new ThresholdFound(more(new ThresholdRecord(context.Order.StepId, ear, frequency.Hertz, outcome, rule, run.Trials, context.Ceilings.GearUsed(route), context.RoomBound(frequency, route)) { Route = route })));
}
