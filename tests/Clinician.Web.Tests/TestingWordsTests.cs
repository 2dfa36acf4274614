using Bunit;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>What the stage of testing says while and after the kit measures.</summary>
public sealed class TestingWordsTests : ConsoleContext
{
    private static readonly PlanPart _leftMasked = new(Ear.Left, ConductionRoute.Air, Masked: true);

    /// <summary>70 dB HL beside an ear of 10 dB HL is more than the head takes away from any earphone's sound (ASHA-type rule, from memory), so it is masked.</summary>
    private static readonly ThresholdRecord[] _apart = [SampleViews.Threshold(Ear.Right, 1000, new ThresholdOutcome.Established(10)), SampleViews.Threshold(Ear.Left, 1000, new ThresholdOutcome.Established(70))];

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task WhatMaskingDidNotSolveIsListedWithItsRemedyWhetherItStandsOrNot(bool stands)
    {
        var dilemma = SampleViews.Threshold(Ear.Left, 1000, new ThresholdOutcome.NotEstablished("No plateau.")) with
        {
            Masking = new MaskingEvidence(30, 5, [new PlateauPoint(30, 70), new PlateauPoint(40, 80)], MaskingVerdict.Dilemma, "A masking dilemma.") { Remedy = "Use insert earphones." },
        };
        var page = await Open(SampleViews.At(SessionStage.Testing) with { Thresholds = stands ? [_apart[0], dilemma] : _apart, Superseded = stands ? [_apart[1]] : [dilemma] });

        Assert.Contains("1000 Hz, masked: not established", Reading.Text(page.Find("details.masked")), StringComparison.Ordinal);
        Assert.NotNull(page.Find("details.masked").QuerySelector("svg"));
        Assert.Equal("▲ A masking dilemma. Use insert earphones.", Reading.Text(page.Find(".unsolved")));
    }

    [Fact]
    public async Task AMaskedSearchInHandSaysThatItIsMaskedAndDrawsItsCurveSoFar()
    {
        TrialRecord[] trials = [.. new[] { 30.0, 30, 40, 40 }.Select((masker, index) => SampleViews.Trial(index + 1, Ear.Left, 1000, 70, TrialVerdict.Heard) with { MaskerDbEm = masker })];
        var page = await Open(SampleViews.At(SessionStage.Testing) with
        {
            Thresholds = _apart,
            Step = new StepView(SampleViews.Step, new MeasurePartStep(_leftMasked), true, null, null, null, trials),
        });

        Assert.Contains("Searching the left ear, masked", page.Words(), StringComparison.Ordinal);
        var drawn = page.FindAll("svg").Single(svg => svg.QuerySelector("title")?.TextContent.StartsWith("Masking of the left ear", StringComparison.Ordinal) == true);
        Assert.Equal(2, drawn.QuerySelectorAll("g.dot").Length);
        Assert.DoesNotContain("Next:", drawn.TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task ASearchWithoutAMaskerIsNotCalledMasked()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing) with { Step = SampleViews.Search(Ear.Left, [1000], 4) });

        Assert.Contains("Searching the left ear", page.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain("left ear, masked", page.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain("Masked search so far", page.Words(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task WhatTheJudgementOfAnEarSaysIsNotSaidASecondTime(bool isJudged)
    {
        var view = SampleViews.At(SessionStage.Testing) with { Thresholds = _apart };
        var caution = Assert.Single(Words.Cautions.Of(view), said => said.StartsWith("Mask:", StringComparison.Ordinal));
        var judged = new EarReliability(Ear.Left, EarVerdict.AcceptWithLimits, [new ReliabilityReason(ReliabilityCodes.MissingMasking, EarVerdict.AcceptWithLimits, 1000, $"Not masked though it should be. {caution}")]);

        var page = await Open(view with { Reliability = isJudged ? [judged] : [] });

        Assert.Equal(isJudged, page.FindAll(".reliability").Any(card => card.TextContent.Contains(caution, StringComparison.Ordinal)));
        Assert.Equal(!isJudged, page.FindAll(".caution li").Any(line => line.TextContent == caution));
    }

    [Fact]
    public async Task WhyThePartCannotBeMeasuredStandsUnderItsButton()
    {
        var view = SampleViews.At(SessionStage.Testing).With("change-plan").Without("measure-part", "Still needed: The sides are proven (step back to side proof).") with
        {
            Plan = new PlanView(ShippedProtocols.Standard, PlanStanding.Measure, _leftMasked, 1000, "Mask.", [], []),
        };
        var page = await Open(view);
        await Press(page, "w", "w");

        Assert.Contains(page.FindAll(".move.inline .why"), why => why.TextContent.Contains("step back to side proof", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(true, "✓ Side proof done")]
    [InlineData(false, "↻ Side proof to do again")]
    public async Task TheRailSaysWhenTheSidesMustBeProvedAgain(bool proved, string said)
    {
        var view = SampleViews.At(SessionStage.Testing);
        var page = await Open(proved ? view : view with { SideProof = null });

        Assert.Contains(said, page.FindAll(".rail li").Select(stage => Reading.Text(stage)));
    }
}
