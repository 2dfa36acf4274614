using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Steps;

/// <summary>Parts of an audiogram by protocol, carried out by the whole agent with the simulated person, who hears the samples that were truly sent.</summary>
public sealed class PartMeasurementTests : IAsyncLifetime
{
    private static readonly PlanPart _rightAir = new(Ear.Right, ConductionRoute.Air, Masked: false);
    private static readonly PlanContext _context = new(TransducerKind.Circumaural);

    private readonly TempFolder _folder = new();
    private TestHub _hub = null!;

    public async ValueTask InitializeAsync() => _hub = await TestHub.StartAsync();

    public async ValueTask DisposeAsync()
    {
        await _hub.DisposeAsync();
        _folder.Dispose();
    }

    [Fact]
    public async Task AnEarIsMeasuredInTheOrderOfTheProtocolWithARetestAndWhatTheSlopeAsksFor()
    {
        await using var agent = await StartAsync("right,1000,20,\nright,2000,45,\nright,4000,60,\nleft,1000,20,\n");
        var protocol = ShippedProtocols.Standard with { AirHz = [1000, 2000, 4000], LowExtension = false };

        var (ended, found) = await MeasureAsync(_rightAir, protocol, []);

        Assert.Equal(StepEnding.Completed, ended.Ending);

        // 20 dB or more between 1000 and 2000 Hz calls for 1500 Hz (ANSI S3.21); 1000 Hz comes again at the end of the ear (ISO 8253-1:2010, 6.2.3).
        Assert.Equal([1000, 2000, 4000, 1500, 1000], found.Select(one => one.FrequencyHz));
        Assert.All(found.Where(one => one.FrequencyHz == 2000), one => Assert.InRange(Level(one), 45, 50));
        Assert.Equal(found.Sum(one => one.Trials.Count), found[^1].Trials[^1].Number);
    }

    [Fact]
    public async Task APartGoesOnWhereItStood()
    {
        await using var agent = await StartAsync("right,1000,20,\nleft,1000,20,\n");
        var protocol = ShippedProtocols.FrailPerson;

        var (_, found) = await MeasureAsync(_rightAir, protocol, [Known(_rightAir, 1000, 20), Known(_rightAir, 2000, 20)]);

        Assert.Equal([4000, 500], found.Select(one => one.FrequencyHz));
    }

    [Fact]
    public async Task WhatTheKitIsNotCalibratedForIsLeftOutAndNotWrittenDownAsMissing()
    {
        // The simulated kit's certificate ends at 8000 Hz.
        await using var agent = await StartAsync("right,1000,20,\nleft,1000,20,\n");
        var protocol = ShippedProtocols.ExtendedHigh with { AirHz = [1000], Retest = RetestScope.None, RetestFurther = false, InterOctaves = false, LowExtension = false };

        var (ended, found) = await MeasureAsync(_rightAir, protocol, []);

        Assert.Equal(StepEnding.Completed, ended.Ending);
        Assert.Equal(1000, Assert.Single(found).FrequencyHz);

        // With both ears measured below, the hub wants nothing more; neither does the kit, whatever it is told.
        var order = _hub.Order(new MeasurePartStep(_rightAir) { Protocol = protocol, Known = [Known(_rightAir, 1000, 20), Known(_rightAir with { Ear = Ear.Left }, 1000, 20)], Context = _context }, 2);
        await _hub.CarryAsync(order);
        Assert.Equal(StepEnding.Completed, (await _hub.EndOfAsync(order.StepId)).Ending);
        Assert.Single(_hub.All<ThresholdFound>());
    }

    [Fact]
    public async Task AnEarThatAnswersForADeadOneIsKeptOutByThePlateau()
    {
        // Two-route model, case A of the reference vectors: 70 dB HL beside 10 dB HL; unmasked the tone is heard across the head (61 dB at 1 kHz, Chaiklin 1967, mean, from memory).
        await using var agent = await StartAsync("right,1000,90,\nleft,1000,10,\n");
        var part = _rightAir with { Masked = true };

        var (ended, found) = await MeasureAsync(part, ShippedProtocols.FrailPerson with { AirHz = [1000] }, [Known(_rightAir, 1000, 70), Known(new PlanPart(Ear.Left, ConductionRoute.Air, false), 1000, 10)]);

        Assert.Equal(StepEnding.Completed, ended.Ending);
        var one = Assert.Single(found);
        Assert.InRange(Level(one), 85, 95);
        Assert.Equal(MaskingVerdict.Plateau, one.Masking!.Verdict);
        Assert.All(one.Trials, trial => Assert.NotNull(trial.MaskerDbEm));
    }

    [Fact]
    public async Task AQuickLookGivesAnIntervalAndSaysThatItIsAnEstimate()
    {
        await using var agent = await StartAsync("right,1000,30,\nleft,1000,30,\n");

        var (_, found) = await MeasureAsync(_rightAir, ShippedProtocols.FrailPerson with { Method = ThresholdMethod.Estimate, AirHz = [1000] }, []);

        var one = Assert.Single(found);
        Assert.Equal(ThresholdMethod.Estimate, one.Method);
        Assert.InRange(30, one.Estimate!.LowerDbHl - 5, one.Estimate.UpperDbHl + 5);
    }

    /// <summary>ISO 7029:2017, men and women alike: at 8 kHz the median is near 0 dB at 20 years and over 40 dB at 78, so that the first telling tones differ.</summary>
    [Fact]
    public async Task AnEstimateBeginsFromTheAgeAndAnAgeThatCannotBeRightCountsAsNone()
    {
        await using var agent = await StartAsync("right,8000,27,\nleft,8000,27,\n");
        var protocol = ShippedProtocols.QuickLook with { AirHz = [8000] };
        var levels = new List<string>();
        foreach (var age in new int?[] { 20, 78, null, -4, 4000 })
        {
            var order = _hub.Order(new MeasurePartStep(_rightAir) { Protocol = protocol, Known = [], Context = _context with { AgeYears = age } }, levels.Count + 1);
            await _hub.CarryAsync(order);
            Assert.Equal(StepEnding.Completed, (await _hub.EndOfAsync(order.StepId)).Ending);
            levels.Add(string.Join(' ', _hub.All<ThresholdFound>()[^1].Threshold.Trials.Where(trial => trial.Kind == TrialKind.Tone).Take(4).Select(trial => trial.LevelDbHl)));
        }

        Assert.NotEqual(levels[0], levels[1]);
        Assert.Equal([levels[2], levels[2]], levels[3..]);
    }

    [Fact]
    public async Task APersonWhoAlwaysAnswersIsToldAgainTwiceAtTheMostAndNoThresholdIsMadeUp()
    {
        await using var agent = await StartAsync("right,1000,20,\nleft,1000,20,\n", falseAlarmsPerMinute: 400);
        var protocol = ShippedProtocols.FrailPerson with { AirHz = [1000], CatchRate = 0.3 };
        var known = new List<Measurement>();

        for (var number = 1; number <= 2; number++)
        {
            var order = _hub.Order(new MeasurePartStep(_rightAir) { Protocol = protocol, Known = known, Context = _context }, number);
            await _hub.CarryAsync(order);
            Assert.Equal(RefusalCodes.InstructAgain, (await _hub.EndOfAsync(order.StepId)).Code);
            var found = _hub.All<ThresholdFound>()[^1].Threshold;
            Assert.IsType<ThresholdOutcome.NotEstablished>(found.Outcome);
            Assert.NotEmpty(found.Trials);
            known.Add(found.ToMeasurement());
        }

        // Tried twice: the plan asks no more.
        Assert.False(AudiogramPlanner.Next(protocol, known, _context) is PlanStep.Measure next && next.Part == _rightAir);
    }

    [Fact]
    public async Task AMaskedSearchOfOneThresholdTakesItsLevelsFromWhatIsKnown()
    {
        await using var agent = await StartAsync("right,1000,90,\nleft,1000,10,\n");
        var order = _hub.Order(
            new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Pulsed) { Masked = true, Known = [Known(_rightAir, 1000, 70), Known(new PlanPart(Ear.Left, ConductionRoute.Air, false), 1000, 10)] },
            1);
        await _hub.CarryAsync(order);
        await _hub.EndOfAsync(order.StepId);

        Assert.InRange(Level(Assert.Single(_hub.All<ThresholdFound>()).Threshold), 85, 95);
    }

    private static double Level(ThresholdRecord record) => Assert.IsType<ThresholdOutcome.Established>(record.Outcome).LevelDbHl;

    private static Measurement Known(PlanPart part, int hertz, double level) => new(part.Ear, part.Route, hertz, new ThresholdOutcome.Established(level)) { TransducerKind = TransducerKind.Circumaural };

    private async Task<(StepEnded Ended, List<ThresholdRecord> Found)> MeasureAsync(PlanPart part, TestProtocol protocol, IReadOnlyList<Measurement> known)
    {
        var order = _hub.Order(new MeasurePartStep(part) { Protocol = protocol, Known = known, Context = _context }, 1);
        await _hub.CarryAsync(order);
        var ended = await _hub.EndOfAsync(order.StepId);
        return (ended, [.. _hub.All<ThresholdFound>().Select(found => found.Threshold)]);
    }

    private async Task<RunningAgent> StartAsync(string listener, double falseAlarmsPerMinute = 0)
    {
        File.WriteAllText(_folder.Inside("listener.csv"), "ear,frequency_hz,air_db_hl,bone_db_hl\n" + listener);
        var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(_folder, _hub.Address, Pace.Fast) with { Listener = _folder.Inside("listener.csv"), ListenerSpreadDb = 0.5, ListenerFalseAlarmsPerMinute = falseAlarmsPerMinute });
        await _hub.UntilAsync(hub => !hub.Hellos.IsEmpty);
        return agent;
    }
}
