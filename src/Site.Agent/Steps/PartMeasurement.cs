using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Measures one part of an audiogram: the planner says the next threshold of it, until it wants another part. Nothing waits for the network in between.</summary>
internal sealed class PartMeasurement
{
    private readonly StepContext _context;
    private readonly PlanPart _part;
    private readonly TestProtocol _protocol;
    private readonly PlanContext _plan;
    private readonly List<Measurement> _done;
    private readonly MaskedSettings _masking;
    private readonly EarEstimation _estimation;
    private int _trials;

    private PartMeasurement(StepContext context, MeasurePartStep step)
    {
        _context = context;
        var gear = context.Ceilings.Gear;
        (_part, _protocol) = (step.Part, step.Protocol!);
        _plan = step.Context! with { Playable = PlayableLevels.Of(gear.Calibration, gear.BoneCalibration) };
        _estimation = new EarEstimation(EstimateAge.Of(_plan.AgeYears).Years, _plan.Sex);
        _done = [.. step.Known!];
        _masking = new MaskedSettings(context);
        foreach (var known in _plan.Counting(_done).Where(one => one.Route == ConductionRoute.Air))
        {
            _estimation.Add(known);
        }
    }

    /// <summary>Runs the step.</summary>
    public static async Task<StepConclusion> RunAsync(StepContext context, MeasurePartStep step)
    {
        await new PartMeasurement(context, step).RunAsync();
        return StepConclusion.Completed();
    }

    private async Task RunAsync()
    {
        while (AudiogramPlanner.Next(_protocol, _done, _plan) is PlanStep.Measure next && next.Part == _part)
        {
            var frequency = AudiometricFrequency.FromHertz(next.FrequencyHz);
            var run = new ThresholdRun(_context, _part.Ear, _part.Route, frequency, _protocol.Tone, _trials);
            var record = await MeasureAsync(next, run, frequency);
            _context.Write(new ThresholdFound(record));
            _trials += record.Trials.Count;
            _done.Add(record.ToMeasurement());
            run.EndIfToInstruct();
        }
    }

    private async Task<ThresholdRecord> MeasureAsync(PlanStep.Measure next, ThresholdRun run, AudiometricFrequency frequency)
    {
        var bound = _context.RoomBound(frequency, _part.Route);
        if (_context.Ceilings.HighestDbHl(_context.Order, _part.Ear, frequency, _part.Route) is not { } highest)
        {
            return Record(next, run, new ThresholdOutcome.NotEstablished($"Nothing may be played at {frequency} with this kit: it has no calibration or no ceiling there."), bound);
        }

        var settings = _protocol.Settings(highest, bound, next.StartDbHl);
        if (_part.Masked)
        {
            return await MaskedAsync(next, run, frequency, settings, bound);
        }

        if (_protocol.Method == ThresholdMethod.Estimate || next.Purpose == MeasurePurpose.QuickLook)
        {
            var estimation = _estimation.Begin(_part.Ear, frequency, settings, _context.Random);
            var outcome = await run.ToEndAsync(estimation);
            return Record(next, run, outcome, bound) with { Method = ThresholdMethod.Estimate, Estimate = outcome is ThresholdOutcome.Established ? estimation.Estimate : null };
        }

        return Record(next, run, await run.ToEndAsync(ThresholdProcedures.Begin(_protocol.Method, settings, _context.Random)), bound);
    }

    private async Task<ThresholdRecord> MaskedAsync(PlanStep.Measure next, ThresholdRun run, AudiometricFrequency frequency, SearchSettings settings, double? bound)
    {
        var rules = _protocol.MaskingRules is { } name && MaskingRules.ByName(name) is { } known ? known : MaskingRules.Usual;
        var (outcome, evidence) = await _masking.RunAsync(run, rules, _plan.Counting(_done), _part.Ear, _part.Route, frequency, settings with { StepDb = HearingLevels.StepDb }, _protocol.MaskerStepDb);
        return Record(next, run, outcome, bound) with { Masking = evidence };
    }

    private ThresholdRecord Record(PlanStep.Measure next, ThresholdRun run, ThresholdOutcome outcome, double? bound) =>
        new(_context.Order.StepId, _part.Ear, next.FrequencyHz, outcome, _protocol.Rule, run.Trials, _context.Ceilings.GearUsed(_part.Route), bound)
        {
            Route = _part.Route,
            Method = _part.Masked ? ThresholdMethod.Ascending : _protocol.Method,
        };
}
