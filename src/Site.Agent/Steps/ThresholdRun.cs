using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Carries one threshold procedure to its end, trial by trial, on the kit's clock.</summary>
/// <param name="context">The step.</param>
/// <param name="ear">Ear under test.</param>
/// <param name="route">Route of the tone.</param>
/// <param name="frequency">Frequency.</param>
/// <param name="shape">Steady or pulsed.</param>
/// <param name="trialsBefore">Trials of the step before these.</param>
internal sealed class ThresholdRun(StepContext context, Ear ear, ConductionRoute route, AudiometricFrequency frequency, ToneShape shape, int trialsBefore)
{
    /// <summary>Length of a tone in a search, ms: 1 to 2 s (ISO 8253-1:2010, 6.2.1).</summary>
    public const double ToneMs = 1200;

    /// <summary>How much a masker is raised at once on its way to a level that would come too suddenly, dB (design: as the steps of a masker on a plateau).</summary>
    private const double MaskerRiseDb = 10;

    private readonly TrialPlayer _player = new(context, frequency, byHand: false, trialsBefore, route);
    private readonly List<TrialRecord> _trials = [];
    private StepConclusion? _instruct;

    /// <summary>Every trial so far.</summary>
    public IReadOnlyList<TrialRecord> Trials => _trials;

    /// <summary>Ends the step when the task must be explained to the person again; to be asked once the threshold is written.</summary>
    /// <exception cref="StepBrokenException">It must.</exception>
    public void EndIfToInstruct()
    {
        if (_instruct is not null)
        {
            throw new StepBrokenException(_instruct);
        }
    }

    /// <summary>Runs it.</summary>
    /// <exception cref="StepBrokenException">It was broken off.</exception>
    public async Task<ThresholdOutcome> ToEndAsync(IThresholdProcedure procedure)
    {
        while (true)
        {
            switch (procedure.Next)
            {
                case SearchMove.PresentTone tone:
                    procedure.Record(await PlayAsync(Plan(tone.Level, TrialKind.Tone, tone.Ascending, tone.MaskerDbEm, tone.LengthenGap)));
                    break;
                case SearchMove.PresentCatch silence:
                    procedure.Record(await PlayAsync(Plan(silence.Level, TrialKind.Catch, false, silence.MaskerDbEm, silence.LengthenGap)));
                    break;
                case SearchMove.Reinstruct instruct:
                    // Only a person can explain. What was answered so far is kept as a threshold that was not established, and the step ends once it is written.
                    _instruct = StepConclusion.Instruct($"{frequency}: {instruct.Reason}");
                    return new ThresholdOutcome.NotEstablished(instruct.Reason);
                case SearchMove.Finished finished:
                    return finished.Outcome;
                default:
                    throw new InvalidOperationException("The procedure wants something this kit does not know.");
            }
        }
    }

    private TrialPlan Plan(HearingLevel level, TrialKind kind, bool ascending, double? maskerDbEm, bool lengthenGap) =>
        new(ear, frequency, level, kind, shape, ascending, ToneMs) { Route = route, MaskerDbEm = maskerDbEm, LengthenGap = lengthenGap };

    private async Task<TrialAnswer> PlayAsync(TrialPlan plan)
    {
        await RaiseMaskerAsync(plan);
        return (await KeepAsync(plan)).ToAnswer();
    }

    /// <summary>A masker that would come too suddenly is brought up in silent trials, which are evidence as any others are.</summary>
    private async Task RaiseMaskerAsync(TrialPlan plan)
    {
        if (plan.MaskerDbEm is not { } wanted)
        {
            return;
        }

        while (context.Ceilings.CheckMasker(context.Order, Other, frequency, wanted).Refusal is { Code: RefusalCodes.RiseTooSteep })
        {
            var level = wanted - MaskerRiseDb;
            while (level > HearingLevels.LowestPresentedDbHl && context.Ceilings.CheckMasker(context.Order, Other, frequency, level).Refusal is { Code: RefusalCodes.RiseTooSteep })
            {
                level -= MaskerRiseDb;
            }

            await KeepAsync(plan with { Kind = TrialKind.Catch, Ascending = false, MaskerDbEm = Math.Max(level, HearingLevels.LowestPresentedDbHl) });
        }
    }

    private async Task<TrialRecord> KeepAsync(TrialPlan plan)
    {
        var trial = await _player.PlayAsync(plan);
        _trials.Add(trial);
        return trial;
    }

    private Ear Other => ear.Other();
}
