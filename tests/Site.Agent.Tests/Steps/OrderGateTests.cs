using System.Text.Json;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Tests.Steps;

public sealed class OrderGateTests
{
    private static readonly SessionId _session = SessionId.New();

    public static TheoryData<StepRequest> Impossible =>
    [
        new PresentToneStep(Ear.Right, 1000, double.NaN, ToneShape.Steady, 1000),
        new PresentToneStep(Ear.Right, 1000, double.PositiveInfinity, ToneShape.Steady, 1000),
        new PresentToneStep(Ear.Right, 1001, 40, ToneShape.Steady, 1000),
        new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 199),
        new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 10_001),
        new PresentToneStep((Ear)9, 1000, 40, ToneShape.Steady, 1000),
        new PresentToneStep(Ear.Left, 1000, 40, (ToneShape)9, 1000),
        new PresentToneStep(Ear.Left, 1000, 40, ToneShape.Steady, 1000) { MaskerDbEm = double.NaN },
        new PresentToneStep(Ear.Left, 1000, 40, ToneShape.Steady, 1000) { Route = (ConductionRoute)9 },
        new MeasureRoomStep(double.NaN),
        new MeasureRoomStep(61),
        new ProveSidesStep(3, 1000, 40),
        new ProveSidesStep(6, 1000, double.NaN),
        new ProveSidesStep(6, 999, 40),
        new SearchThresholdStep(Ear.Left, 0, StoppingRule.TwoOfThree, ToneShape.Pulsed),
        new SearchThresholdStep(Ear.Left, 1000, (StoppingRule)9, ToneShape.Pulsed),
        new SearchEarStep(Ear.Left, [], StoppingRule.TwoOfThree, ToneShape.Pulsed),
        new SearchEarStep(Ear.Left, null!, StoppingRule.TwoOfThree, ToneShape.Pulsed),
        new SearchEarStep(Ear.Left, [1000, 1234], StoppingRule.TwoOfThree, ToneShape.Pulsed),
    ];

    /// <summary>Orders of a part as a faulty hub might send them: what this program never leaves out is missing.</summary>
    public static TheoryData<MeasurePartStep> Lacking =>
    [
        Part with { Protocol = null },
        Part with { Known = null },
        Part with { Context = null },
        new MeasurePartStep(null!) { Protocol = Part.Protocol, Known = [], Context = Part.Context },
        Part with { Protocol = Part.Protocol! with { Id = null! } },
        Part with { Protocol = Part.Protocol! with { Name = null! } },
        Part with { Protocol = Part.Protocol! with { AirHz = null! } },
        Part with { Protocol = Part.Protocol! with { ExtendedHighHz = null! } },
        Part with { Protocol = Part.Protocol! with { BoneHz = null! } },
        Part with { Protocol = Part.Protocol! with { Method = (ThresholdMethod)9 } },
        Part with { Protocol = Part.Protocol! with { Rule = (StoppingRule)9 } },
        Part with { Protocol = Part.Protocol! with { StepDb = double.NaN } },
        Part with { Known = [null!] },
        Part with { Known = [new Measurement(Ear.Right, ConductionRoute.Air, 1000, null!)] },
        Part with { Context = Part.Context! with { Overrides = null! } },
        Part with { Context = Part.Context! with { Overrides = [null!] } },
        Part with { Context = Part.Context! with { Overrides = [new PlanOverride.SkipPart(null!)] } },
        Part with { Context = Part.Context! with { Overrides = [new PlanOverride.Repeat(null!, 1000, 0)] } },
        Part with { Context = new PlanContext((TransducerKind)9) },
        Part with { Context = Part.Context! with { Sex = (Sex)9 } },
    ];

    private static MeasurePartStep Part => new(new PlanPart(Ear.Right, ConductionRoute.Air, Masked: false))
    {
        Protocol = ShippedProtocols.Standard,
        Known = [],
        Context = new PlanContext(TransducerKind.Circumaural),
    };

    private static StepOrder Order(StepRequest? request = null, long number = 5, int epoch = 2, long expires = 1000) => new(
        _session, StepId.New(), number, epoch, expires, 100, 1, [], request ?? new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000))
    {
        Covered = ConsentPurposes.All,
    };

    private static SessionOrders Known(long highest = 4, int epoch = 2) => new(_session, highest, epoch, []);

    [Fact]
    public void AnOrderOfAnotherSessionOrOfNoneIsNotBegun()
    {
        Assert.Equal(RefusalCodes.OtherSession, OrderGate.Check(Order(), Known(), SessionId.New(), 500, stopped: false)?.Code);
        Assert.Equal(RefusalCodes.OtherSession, OrderGate.Check(Order(), Known(), null, 500, stopped: false)?.Code);
    }

    [Theory]
    [InlineData(ConsentPurpose.Care, "the hearing test")]
    [InlineData(ConsentPurpose.RemoteMode, "doing it at a distance")]
    [InlineData(ConsentPurpose.Assistant, "an assistant being present")]
    public void WhatTheConsentInTheOrderDoesNotCoverIsNotBegun(ConsentPurpose missing, string words)
    {
        var order = Order(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Right)) with { Covered = [.. ConsentPurposes.All.Except([missing])] };

        var refusal = OrderGate.Check(order, Known(), _session, 500, stopped: false)!;

        Assert.Equal(RefusalCodes.ConsentMissing, refusal.Code);
        Assert.Contains(words, refusal.Sentence, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.ConsentMissing, OrderGate.Check(Order() with { Covered = null }, Known(), _session, 500, stopped: false)?.Code);
        Assert.Null(OrderGate.Check(Order() with { Covered = ConsentPurposes.Needed }, Known(), _session, 500, stopped: false));
    }

    [Fact]
    public void AfterConsentWasTakenBackHereNothingIsBegun() =>
        Assert.Equal(RefusalCodes.ConsentMissing, OrderGate.Check(Order(new CheckKitStep()), Known(), _session, 500, stopped: true, withdrawn: true)?.Code);

    [Fact]
    public void AnOrderInItsPlaceAndTimeIsBegun() => Assert.Null(OrderGate.Check(Order(), Known(), _session, 500, stopped: false));

    [Fact]
    public void TheFirstOrderOfASessionIsBegun() => Assert.Null(OrderGate.Check(Order(), null, _session, 500, stopped: false));

    [Theory]
    [InlineData(5, 2, 500.0, RefusalCodes.Duplicate)]
    [InlineData(6, 2, 500.0, RefusalCodes.OutOfOrder)]
    [InlineData(4, 3, 500.0, RefusalCodes.OldEpoch)]
    [InlineData(4, 2, 1000.5, RefusalCodes.Expired)]
    public void AnOrderOutOfPlaceOrTimeIsRefused(long highest, int epoch, double hubNow, string code) =>
        Assert.Equal(code, OrderGate.Check(Order(), Known(highest, epoch), _session, hubNow, stopped: false)?.Code);

    [Fact]
    public void AnOrderIsRefusedWhenTheHubsTimeIsNotKnown() =>
        Assert.Equal(RefusalCodes.Expired, OrderGate.Check(Order(), Known(), _session, null, stopped: false)?.Code);

    [Fact]
    public void StopRefusesSoundAndNothingElse()
    {
        Assert.Equal(RefusalCodes.StopPressed, OrderGate.Check(Order(), Known(), _session, 500, stopped: true)?.Code);
        Assert.Null(OrderGate.Check(Order(new CheckKitStep()), Known(), _session, 500, stopped: true));
    }

    [Theory]
    [MemberData(nameof(Impossible))]
    public void AnImpossibleRequestIsRefusedWithASentence(StepRequest request)
    {
        var refusal = OrderGate.Check(Order(request), Known(), _session, 500, stopped: false);

        Assert.Equal(RefusalCodes.Invalid, refusal?.Code);
        Assert.NotEmpty(refusal!.Sentence);
    }

    [Fact]
    public void AWholeOrderOfAPartIsBegun() => Assert.Null(OrderGate.Check(Order(Part), Known(), _session, 500, stopped: false));

    [Theory]
    [MemberData(nameof(Lacking))]
    public void AnOrderOfAPartThatLacksSomethingIsRefusedWithASentence(MeasurePartStep request) => AnImpossibleRequestIsRefusedWithASentence(request);

    [Fact]
    public void AProtocolWithoutItsListsThatCameOverTheWireIsRefusedInWords()
    {
        var sent = JsonSerializer.Serialize<StepRequest>(Part with { Protocol = Part.Protocol! with { BoneHz = null! } }, Protocol.Json).Replace("\"airHz\":", "\"airHz\":null,\"before\":", StringComparison.Ordinal);
        var read = JsonSerializer.Deserialize<StepRequest>(sent, Protocol.Json);

        Assert.Null(Assert.IsType<MeasurePartStep>(read).Protocol!.AirHz);
        Assert.Contains("The list of frequencies by air conduction is missing.", OrderGate.Check(Order(read), Known(), _session, 500, stopped: false)!.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void ACeilingOrBoundThatIsNoNumberIsRefused()
    {
        Assert.Equal(RefusalCodes.Invalid, OrderGate.Check(Order() with { MaximumLevelDbHl = double.NaN }, null, _session, 1, stopped: false)?.Code);
        Assert.Equal(RefusalCodes.Invalid, OrderGate.Check(Order() with { LowestProvable = [new LowestProvableLevel(1000, double.NaN, true, 1000)] }, null, _session, 1, stopped: false)?.Code);
        Assert.Equal(RefusalCodes.Invalid, OrderGate.Check(Order() with { LowestProvable = null! }, null, _session, 1, stopped: false)?.Code);
    }
}
