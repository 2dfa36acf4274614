using System.Text.Json;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>A session by protocol over real sockets: what comes next, what the kit is told, what the clinician decides otherwise.</summary>
public sealed class PlanTests : IAsyncLifetime
{
    private static readonly PlanPart _rightAir = new(Ear.Right, ConductionRoute.Air, Masked: false);

    private SessionAtTesting _at = null!;

    public async ValueTask InitializeAsync() => _at = await SessionAtTesting.Start();

    public ValueTask DisposeAsync() => _at.DisposeAsync();

    [Fact]
    public async Task ThePlanSaysThePartThatComesNextAndTheKitGetsAllItNeedsForIt()
    {
        Assert.NotNull((await _at.Console.Ask(new OrderStep(new MeasurePartStep(_rightAir), false))).Refusal);
        await _at.Console.Must(new ChooseProtocol("frail-person", 1));
        var plan = (await _at.Console.Until(view => view.Plan is not null)).Plan!;
        Assert.Equal((PlanStanding.Measure, _rightAir, 1000), (plan.Standing, plan.Part!, plan.FrequencyHz!.Value));

        // What a console claims to know is not what the kit is told.
        await _at.Console.Must(new OrderStep(new MeasurePartStep(_rightAir) { Known = [new Measurement(Ear.Right, ConductionRoute.Air, 1000, new ThresholdOutcome.Established(0))] }, false));
        var order = await _at.Kit.NextOrder();
        var step = Assert.IsType<MeasurePartStep>(order.Request);
        Assert.Equal(ShippedProtocols.FrailPerson, step.Protocol);
        Assert.Empty(step.Known!);

        await Found(order, Ear.Right, [1000, 2000, 4000, 500]);
        plan = (await _at.Console.Until(view => view.Thresholds.Count == 4 && view.Step is { Ending: StepEnding.Completed })).Plan!;
        Assert.Equal(_rightAir with { Ear = Ear.Left }, plan.Part);
    }

    [Fact]
    public async Task WhatTheClinicianLeavesOutIsNotAskedForAndStaysOnRecord()
    {
        await _at.Console.Must(new ChooseProtocol("frail-person", 1));
        await _at.Console.Must(new ChangePlan(new PlanOverride.SkipPart(_rightAir)));

        var view = await _at.Console.Until(seen => seen.Plan?.Part?.Ear == Ear.Left);
        Assert.Contains("right ear by air, unmasked: left out", view.Plan!.Changes);
        Assert.Contains(view.Timeline, entry => entry.Text.Contains("changed the plan", StringComparison.Ordinal));
        Assert.Equal(RefusalCodes.StaleView, (await _at.Console.Ask(new OrderStep(new MeasurePartStep(_rightAir), false))).Refusal!.Code);
    }

    [Fact]
    public async Task WhatTheKitsCertificateDoesNotCoverIsLeftOutAndSaidFromTheBeginning()
    {
        // The certificate of this kit ends at 8000 Hz, and it told of no bone vibrator.
        await _at.Kit.Connect(gear: KitSamples.Gear(DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date).AddDays(-14)));
        await _at.Console.Must(new ChooseProtocol("extended-high", 1));

        var plan = (await _at.Console.Until(view => view.Plan is not null)).Plan!;
        Assert.Equal(
            ["The right ear by air, unmasked: 9000, 10000, 11200, 12500, 14000, 16000 Hz left out, because this kit is not calibrated there.", "The left ear by air, unmasked: 9000, 10000, 11200, 12500, 14000, 16000 Hz left out, because this kit is not calibrated there."],
            plan.Notes);

        var measured = new List<int>();
        while (plan is { Standing: PlanStanding.Measure, Part: { } part, FrequencyHz: { } hertz })
        {
            Assert.True(measured.Count < 60, string.Join(' ', measured));
            measured.Add(hertz);
            await _at.Console.Must(new OrderStep(new MeasurePartStep(part), false));
            var order = await _at.Kit.NextOrder();
            await Found(order, part.Ear, [hertz]);
            plan = (await _at.Console.Until(view => view.Step is { Ending: StepEnding.Completed } step && step.StepId == order.StepId)).Plan!;
        }

        Assert.Equal(ShippedProtocols.ExtendedHigh.AirHz.Order(), measured.Distinct().Order());
        Assert.Equal(PlanStanding.Finished, plan.Standing);
        Assert.Equal(2, plan.Notes.Count(note => note.Contains("not calibrated there", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task AnEstimateIsToldTheAgeInWholeYearsAndNothingElseOfThePerson()
    {
        // Born on 4 March 1951 (the invented person of these tests).
        var age = EstimateAge.WholeYears(new DateOnly(1951, 3, 4), DateOnly.FromDateTime(TimeProvider.System.GetLocalNow().Date));
        await _at.Console.Must(new ChooseProtocol("quick-look", 1));
        await _at.Console.Must(new OrderStep(new MeasurePartStep(_rightAir), false));
        var order = await _at.Kit.NextOrder();
        var context = Assert.IsType<MeasurePartStep>(order.Request).Context!;

        Assert.Equal((age, null), (context.AgeYears, context.Sex));
        Assert.DoesNotContain("1951", JsonSerializer.Serialize(order, Protocol.Json), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ATestWithoutEstimatesIsToldNoAge()
    {
        await _at.Console.Must(new ChooseProtocol("frail-person", 1));
        await _at.Console.Must(new OrderStep(new MeasurePartStep(_rightAir), false));

        Assert.Null(Assert.IsType<MeasurePartStep>((await _at.Kit.NextOrder()).Request).Context!.AgeYears);
    }

    [Theory]
    [InlineData(91, "as at 80 years, not 91")]
    [InlineData(-1, "which cannot be right")]
    [InlineData(62, null)]
    [InlineData(null, null)]
    public void AnAgeThatIsNotTakenAsItIsStandsBesideThePlan(int? age, string? said)
    {
        var state = PureSession.At(SessionStage.Testing).State with { Protocol = ShippedProtocols.QuickLook };
        var facts = new SessionFacts(default, KitOnline: true, KitBusyElsewhere: false, TimeSpan.FromMinutes(10)) { AgeYears = age };

        var notes = PlanViews.Of(state, facts)!.Notes;

        Assert.Equal(said is null ? 0 : 1, notes.Count);
        Assert.All(notes, note => Assert.Contains(said!, note, StringComparison.Ordinal));
        Assert.Empty(PlanViews.Of(state with { Protocol = ShippedProtocols.Standard }, facts)!.Notes);
    }

    [Fact]
    public async Task AProtocolThatIsNotThereIsRefused()
    {
        Assert.Contains("no such protocol", (await _at.Console.Ask(new ChooseProtocol("standard", 7))).Refusal!.Sentence, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.Invalid, (await _at.Console.Ask(new ChangePlan(null!))).Refusal!.Code);
    }

    [Fact]
    public async Task GearIsChangedByAStepAndWhatIsWornIsWhatTheSiteMarked()
    {
        Assert.Equal(RefusalCodes.Invalid, (await _at.Console.Ask(new OrderStep(new WearGearStep(ConductionRoute.BoneMastoid, null), false))).Refusal!.Code);
        await _at.Console.Must(new OrderStep(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Right), false));
        var order = await _at.Kit.NextOrder();
        await _at.Kit.Report(_at.Session, new StepStarted(order.StepId), new StepEnded(order.StepId, StepEnding.Completed, null, null, null));
        await _at.Console.Until(view => view.Worn == new WornGear(ConductionRoute.BoneMastoid, Ear.Right));

        // A kit that says the gear is not worn is believed: nothing counts as worn then.
        await _at.Console.Must(new OrderStep(new PresentToneStep(Ear.Right, 1000, 30, ToneShape.Steady, 1000) { Route = ConductionRoute.BoneMastoid }, false));
        order = await _at.Kit.NextOrder();
        await _at.Kit.Report(_at.Session, new StepEnded(order.StepId, StepEnding.Refused, RefusalCodes.GearNotWorn, "The vibrator is not marked as worn.", null));
        await _at.Console.Until(view => view.Worn is null);
    }

    [Fact]
    public async Task EarphonesPutOnAgainMustProveTheirSidesAgain()
    {
        await _at.Console.Must(new OrderStep(new WearGearStep(ConductionRoute.Air, null), false));
        var order = await _at.Kit.NextOrder();
        await _at.Kit.Report(_at.Session, new StepStarted(order.StepId), new StepEnded(order.StepId, StepEnding.Completed, null, null, null));

        await _at.Console.Until(view => view.SideProof is null);
        Assert.Contains("sides are proven", (await _at.Console.Ask(new OrderStep(new PresentToneStep(Ear.Right, 1000, 30, ToneShape.Steady, 1000), false))).Refusal!.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AMaskedThresholdStandsBeforeALaterUnmaskedOneAndASearchBeforeAnEstimate()
    {
        await _at.Console.Must(new OrderStep(new SearchEarStep(Ear.Right, [1000, 2000], StoppingRule.TwoOfThree, ToneShape.Pulsed), false));
        var order = await _at.Kit.NextOrder();
        await _at.Kit.Report(
            _at.Session,
            new StepStarted(order.StepId),
            new ThresholdFound(Samples.Threshold(order.StepId, Ear.Right, 1000, 90) with { Masking = new MaskingEvidence(20, 5, [], MaskingVerdict.Plateau, "It stood.") }),
            new ThresholdFound(Samples.Threshold(order.StepId, Ear.Right, 1000, 70)),
            new ThresholdFound(Samples.Threshold(order.StepId, Ear.Right, 2000, 30)),
            new ThresholdFound(Samples.Threshold(order.StepId, Ear.Right, 2000, 45) with { Method = ThresholdMethod.Estimate }),
            new StepEnded(order.StepId, StepEnding.Completed, null, null, null));

        var view = await _at.Console.Until(seen => seen.Thresholds.Count + seen.Superseded.Count == 4);
        Assert.Equal([90, 30], view.Thresholds.Select(threshold => ((ThresholdOutcome.Established)threshold.Outcome).LevelDbHl));
    }

    [Fact]
    public async Task AnEarsReliabilityIsJudgedWithItsReasons()
    {
        await _at.Console.Must(new ChooseProtocol("frail-person", 1));
        await _at.Console.Must(new OrderStep(new MeasurePartStep(_rightAir), false));
        await Found(await _at.Kit.NextOrder(), Ear.Right, [1000]);

        var ear = Assert.Single((await _at.Console.Until(view => view.Thresholds.Count == 1)).Reliability);
        Assert.Equal(Ear.Right, ear.Ear);
        Assert.True(ear.Verdict == EarVerdict.Accept || ear.Reasons.Count > 0);
    }

    [Fact]
    public async Task AMaskedSearchNeedsBothEarsSafeToCover()
    {
        await _at.Console.Must(new OrderStep(new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Pulsed) { Masked = true }, false));
        var step = Assert.IsType<SearchThresholdStep>((await _at.Kit.NextOrder()).Request);
        Assert.Empty(step.Known!);
    }

    private async Task Found(StepOrder order, Ear ear, IReadOnlyList<int> frequencies) => await _at.Kit.Report(
        _at.Session,
        [
            new StepStarted(order.StepId),
            .. frequencies.Select(hertz => new ThresholdFound(Samples.Threshold(order.StepId, ear, hertz, 20))),
            new StepEnded(order.StepId, StepEnding.Completed, null, null, null),
        ]);

    [Fact]
    public async Task WhatIsLeftOutCanBeTakenUpAgainAndAnotherProtocolBeginsWithoutIt()
    {
        await _at.Console.Must(new ChooseProtocol("frail-person", 1));
        await _at.Console.Must(new ChangePlan(new PlanOverride.SkipPart(_rightAir)));
        await _at.Console.Must(new ChangePlan(new PlanOverride.SkipFrequency(_rightAir with { Ear = Ear.Left }, 500)));
        var left = (await _at.Console.Until(view => view.Plan is { LeftOut.Count: 2 })).Plan!;
        Assert.Equal([new LeftOut(_rightAir, null), new LeftOut(_rightAir with { Ear = Ear.Left }, 500)], left.LeftOut);

        await _at.Console.Must(new ChangePlan(new PlanOverride.TakeUp(_rightAir, null)));
        Assert.Equal(_rightAir, (await _at.Console.Until(view => view.Plan is { LeftOut.Count: 1 })).Plan!.Part);
        await _at.Console.Must(new ChooseProtocol("standard", 1));
        Assert.Empty((await _at.Console.Until(view => view.Plan?.Protocol.Id == "standard")).Plan!.LeftOut);
    }

    [Fact]
    public async Task WhatTheKitCannotPlayIsNotAddedAndWhatWasNotMeasuredIsNotRepeated()
    {
        await _at.Console.Must(new ChooseProtocol("frail-person", 1));

        Assert.Contains("not measured yet", (await _at.Console.Ask(new ChangePlan(new PlanOverride.Repeat(_rightAir, 1000, 0)))).Refusal!.Sentence, StringComparison.Ordinal);
        var decided = TeleHearing.Hub.Sessions.Plans.PlanDecider.Decide(
            PureSession.At(SessionStage.Testing).State,
            new ChangePlan(new PlanOverride.AddFrequency(_rightAir, 12_500)),
            new TeleHearing.Hub.Sessions.Events.Actor("c", "C"),
            PureSession.At(SessionStage.Testing).Facts with { Playable = [new PlayableLevel(Ear.Right, ConductionRoute.Air, 1000, 100)] },
            null);
        Assert.Contains("not calibrated at 12500 Hz", Assert.IsType<TeleHearing.Hub.Sessions.Decisions.Refused>(decided).Refusal.Sentence, StringComparison.Ordinal);
    }
}
