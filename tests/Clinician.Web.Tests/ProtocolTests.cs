using Bunit;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Clinician.Web.Protocols;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Running a session by a protocol, masking by hand with advice, and the clinic's protocols.</summary>
public sealed class ProtocolTests : ConsoleContext
{
    private static readonly PlanPart _part = new(Ear.Right, ConductionRoute.Air, Masked: false);

    [Fact]
    public async Task AProtocolIsChosenFromTheClinicsList()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing).With("choose-protocol"));
        await Press(page, "w", "w");
        page.WaitForAssertion(() => Assert.Contains("Diagnostic with bone conduction", page.Markup, StringComparison.Ordinal));

        page.Field("Short").Change(true);
        await page.Button("Use this protocol").ClickAsync(new());

        Assert.Equal(new ChooseProtocol("short", 1), Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task ThePartThatComesNextIsMeasuredOrLeftOut()
    {
        var page = await Open(Planned(PlanStanding.Measure, _part, 1000, "1000 Hz belongs to the protocol.").With("measure-part").With("change-plan"));
        await Press(page, "w", "w");

        await page.Button("Measure the right ear by air, unmasked").ClickAsync(new());
        await page.Button("Leave out 1000 Hz").ClickAsync(new());

        Assert.Equal(new MeasurePartStep(_part), Assert.IsType<OrderStep>(Link.Asked[0].Command).Request);
        Assert.Equal(new ChangePlan(new PlanOverride.SkipFrequency(_part, 1000)), Link.Asked[1].Command);
    }

    [Fact]
    public async Task WhatMustBePutOnFirstIsSaidAndNothingCanBeMeasuredBefore()
    {
        var page = await Open(Planned(PlanStanding.ChangeGear, _part with { Route = ConductionRoute.BoneMastoid }, null, "Put the bone vibrator on the mastoid of the right ear.").With("change-plan"));
        await Press(page, "w", "w");

        Assert.Contains("Put the bone vibrator on", page.Words(), StringComparison.Ordinal);
        Assert.DoesNotContain(page.FindAll("button"), button => button.TextContent.Contains("Measure the", StringComparison.Ordinal));
    }

    [Fact]
    public async Task TheAdviserSaysWhyAndWhatNextAndSetsTheDial()
    {
        // Case A of the two-route model (reference of masking vectors): 70 dB HL beside an ear of 10 dB HL is masked from 20 dB EM on.
        var page = await Open(SampleViews.At(SessionStage.Testing) with
        {
            Thresholds = [SampleViews.Threshold(Ear.Right, 1000, new ThresholdOutcome.Established(60)), SampleViews.Threshold(Ear.Left, 1000, new ThresholdOutcome.Established(10))],
        });
        Assert.Contains("Mask: the right ear's 60 dB HL at 1000 Hz", page.Words(), StringComparison.Ordinal);

        await Press(page, "n", " ");

        var tone = Assert.IsType<PresentToneStep>(Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command).Request);
        Assert.Equal(20, tone.MaskerDbEm);
        Assert.Equal(60, tone.LevelDbHl);
    }

    [Fact]
    public async Task TheCurveOfMaskingByHandIsDrawnAsItGrows()
    {
        var trials = new[] { 20.0, 20, 30, 30 }.Select((masker, index) => SampleViews.Trial(index + 1, Ear.Right, 1000, 70, TrialVerdict.Heard) with { MaskerDbEm = masker });
        var page = await Open(SampleViews.At(SessionStage.Testing) with
        {
            Thresholds = [SampleViews.Threshold(Ear.Right, 1000, new ThresholdOutcome.Established(60)), SampleViews.Threshold(Ear.Left, 1000, new ThresholdOutcome.Established(10))],
            MaskedByHand = [.. trials],
        });

        Assert.NotEmpty(page.FindAll(".masking svg"));
        Assert.Contains("raise the masker", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AMaskedThresholdShowsTheCurveItCameFrom()
    {
        var masked = SampleViews.Threshold(Ear.Right, 1000, new ThresholdOutcome.Established(70)) with
        {
            Masking = new MaskingEvidence(20, 5, [new PlateauPoint(20, 70), new PlateauPoint(25, 70), new PlateauPoint(30, 70), new PlateauPoint(35, 70)], MaskingVerdict.Plateau, "The threshold stood still over 15 dB.") { FinalDbEm = 35 },
        };
        var page = await Open(SampleViews.At(SessionStage.Testing) with { Thresholds = [masked] });

        var shown = page.Find("details.masked");
        Assert.Contains("1000 Hz, masked: 70", Reading.Text(shown), StringComparison.Ordinal);
        Assert.NotNull(shown.QuerySelector("svg"));
    }

    [Fact]
    public void AProtocolIsCopiedChangedLookedAtAndKept()
    {
        Link.ProtocolAnswer = new ProtocolReply(null, [new ProtocolFileFault(7, "StepDb must be 5, 2 or 1.")], null);
        var page = Render<ProtocolsPage>();
        page.WaitForAssertion(() => Assert.Equal(ShippedProtocols.All.Count, page.FindAll("tbody tr").Count));

        page.FindAll("tbody button")[0].Click();
        page.Find("button.primary").Click();

        Assert.Contains("\"our-standard\"", Link.HandedIn[0].Text, StringComparison.Ordinal);
        Assert.True(Link.HandedIn[0].Keep);
        page.WaitForAssertion(() => Assert.Contains("Line 7: StepDb must be 5, 2 or 1.", page.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public async Task WhatThePlanLeavesOutIsSaidBeforeAnythingIsMeasured()
    {
        const string Note = "The right ear by air, unmasked: 9000, 10000 Hz left out, because this kit is not calibrated there.";
        var planned = Planned(PlanStanding.Measure, _part, 1000, "1000 Hz belongs to the protocol.");

        var page = await Open(planned with { Plan = planned.Plan! with { Notes = [Note] } });
        await Press(page, "w", "w");

        Assert.Contains(Note, page.FindAll("li").Select(item => Reading.Text(item)));
    }

    private static SessionView Planned(PlanStanding standing, PlanPart part, int? hertz, string sentence) => SampleViews.At(SessionStage.Testing) with
    {
        Plan = new PlanView(ShippedProtocols.Standard, standing, part, hertz, sentence, [], []),
    };
}
