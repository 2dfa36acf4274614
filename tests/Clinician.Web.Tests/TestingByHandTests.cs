using Bunit;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Clinician.Web.Workbench;
using TeleHearing.Clinician.Web.Workbench.Hearing;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class TestingByHandTests : ConsoleContext
{
    [Fact]
    public async Task ATonePresentedByKeyIsTheOneTheDialShows()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));

        await Press(page, "l", "ArrowRight", "ArrowUp", "ArrowUp", " ");

        var order = Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command);
        Assert.Equal(new PresentToneStep(Ear.Left, 1500, 40, ToneShape.Pulsed, 1500), order.Request);
        Assert.False(order.LoudConfirmed);
        Assert.Contains("1500 Hz 40 dB HL", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task KeysDoNothingWhileTyping()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));

        var taken = await page.InvokeAsync(() => page.Instance.KeyPressed(" ", typing: true, onControl: false, modified: false, repeated: false));
        await page.InvokeAsync(() => page.Instance.KeyPressed("h", typing: true, onControl: false, modified: false, repeated: false));

        Assert.False(taken);
        Assert.Empty(Link.Asked);
    }

    [Fact]
    public async Task HandKeysRestOutsideTestingButHoldDoesNot()
    {
        var page = await Open(SampleViews.At(SessionStage.Consent));

        await Press(page, " ", "s", "h");

        Assert.IsType<Hold>(Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task EscapeCutsTheStepInHand()
    {
        var running = SampleViews.At(SessionStage.Testing).With("cut-step") with { Step = SampleViews.Search(Ear.Right, [1000, 2000], 3) };
        var page = await Open(running);

        await Press(page, "Escape");

        Assert.Equal(new CutStep(SampleViews.Step), Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task EscapeCutsAlsoWhileTypingAndLeavesTheKeyToTheField()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing).With("cut-step") with { Step = SampleViews.Search(Ear.Right, [1000, 2000], 3) });

        var taken = await page.InvokeAsync(() => page.Instance.KeyPressed("Escape", typing: true, onControl: false, modified: false, repeated: false));

        Assert.False(taken);
        Assert.Equal(new CutStep(SampleViews.Step), Assert.Single(Link.Asked).Command);
    }

    [Fact]
    public async Task AToneTheKitDidNotPlayIsSaidBesideTheDial()
    {
        var refused = SampleViews.Search(Ear.Right, [1000], 0, StepEnding.Failed, "115 dB HL is too far above the previous presentation.") with
        {
            Request = new PresentToneStep(Ear.Right, 1000, 115, ToneShape.Pulsed, 1500),
        };

        var page = await Open(SampleViews.At(SessionStage.Testing) with { Step = refused });

        var said = page.Find("[role=alert]").TextContent;
        Assert.Contains("115 dB HL: failed: 115 dB HL is too far above the previous presentation.", said, StringComparison.Ordinal);
        Assert.DoesNotContain("..", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AFinishedSearchSaysWhatItFound()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing) with
        {
            Step = SampleViews.Search(Ear.Right, [1000], 3, StepEnding.Completed),
            Thresholds = [SampleViews.Threshold(Ear.Right, 1000, new ThresholdOutcome.Established(20)) with { StepId = SampleViews.Step }],
        });

        Assert.Contains("Result: 20 dB HL", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheLastToneIsRepeatedAsItWas()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));

        await Press(page, " ", "ArrowUp", "l", "a");

        Assert.Equal(2, Link.Asked.Count);
        Assert.Equal(((OrderStep)Link.Asked[0].Command).Request, ((OrderStep)Link.Asked[1].Command).Request);
    }

    [Fact]
    public async Task WhatTheHubDoesNotOfferIsExplainedAndNotSent()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing).Without("present-tone", "No step may be in hand: wait for it or cut it."));

        await Press(page, " ");

        Assert.Empty(Link.Asked);
        Assert.Contains("wait for it or cut it", Reading.Text(page.Find(".notices")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AWholeEarIsSearchedInTheConventionalOrderWithARetestAtOneThousand()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));

        await page.Button("Whole ear").ClickAsync(new());
        page.Field("3 of 5 ascents").Change(true);
        await page.Button("✕ L Search left").ClickAsync(new());

        var search = Assert.IsType<SearchEarStep>(Assert.IsType<OrderStep>(Assert.Single(Link.Asked).Command).Request);
        Assert.Equal(Ear.Left, search.Ear);
        Assert.Equal([1000, 2000, 4000, 8000, 1000, 500, 250], search.FrequenciesHz);
        Assert.Equal(Audiology.PureTone.StoppingRule.ThreeOfFive, search.Rule);
    }

    [Fact]
    public async Task ARunningSearchSaysHowFarItHasCome()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing) with { Step = SampleViews.Search(Ear.Left, [1000, 2000, 4000], 5) });

        Assert.Contains("1000 Hz, frequency 1 of 3 5 trials so far", page.Words(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheRoomStripSaysInWordsWhatTheRoomHidesAtTheLevelOnTheDial()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        Assert.Contains("Room not measured", Reading.Text(page.Find(".strip")), StringComparison.Ordinal);

        // The dial stands at 1000 Hz, 30 dB HL. Limits of ISO 8253-1:2010 at 1 kHz: 23 dB under supra-aural earphones, 37 under circumaural ones (+29 - 15), 45 with inserts (+37 - 15).
        var bands = TeleHearing.Audiology.Acoustics.ThirdOctaveBands.Nominal;
        Link.Push(new LiveRoom([.. bands.Select(band => band == 1000 ? 90.0 : -5)], [.. bands.Select(_ => -20.0)], 90, null));

        await page.WaitForAssertionAsync(() => Assert.Contains("1 of 25 bands over the limit: 1 kHz by", Reading.Text(page.Find(".strip")), StringComparison.Ordinal));
        Assert.Contains("Room now 90 dB(A)", Reading.Text(page.Find(".strip")), StringComparison.Ordinal);

        Link.Push(new LiveRoom([.. bands.Select(_ => 0.0)], [], 0, "The microphone was overloaded: 3 samples at full scale."));
        await page.WaitForAssertionAsync(() => Assert.Contains("overloaded", Reading.Text(page.Find(".strip")), StringComparison.Ordinal));
    }

    [Fact]
    public async Task LampsSayInWordsWhatTheyShow()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));
        Assert.Contains("Response — Sound —", Reading.Text(page.Find(".lamps")), StringComparison.Ordinal);

        Link.Push(LiveSignalKind.SoundOn);
        Link.Push(LiveSignalKind.ButtonDown);

        await page.WaitForAssertionAsync(() => Assert.Contains("Response Pressed Sound On", Reading.Text(page.Find(".lamps")), StringComparison.Ordinal));
    }

    [Fact]
    public async Task AVoidTrialGivesItsReasonInTheList()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing) with
        {
            RecentTrials = [SampleViews.Trial(1, Ear.Right, 500, 20, TrialVerdict.Heard), SampleViews.Trial(2, Ear.Right, 500, 10, TrialVerdict.Void, "the room was too loud at 500 Hz")],
        });

        var rows = page.FindAll(".trials tbody tr").Select(row => Reading.Text(row)).ToList();
        Assert.Equal(["○ R 10 dB, 500 Hz × void", "the room was too loud at 500 Hz", "○ R 20 dB, 500 Hz ● heard, 0.42 s"], rows);
    }

    [Fact]
    public async Task TheHelpKeyShowsEveryKey()
    {
        var page = await Open(SampleViews.At(SessionStage.Testing));

        await Press(page, "?");

        var list = Reading.Text(page.Find("dialog"));
        Assert.All(HandKeys.All, entry => Assert.Contains(entry.Words, list, StringComparison.Ordinal));
    }
}
