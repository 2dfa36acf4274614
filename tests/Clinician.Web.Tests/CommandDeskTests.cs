using Microsoft.AspNetCore.SignalR;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class CommandDeskTests : ConsoleContext
{
    [Fact]
    public async Task ACommandSaysWhatWasSeenAndUntilWhenItIsMeant()
    {
        await Open(SampleViews.At(SessionStage.Testing, version: 40));
        Time.Advance(TimeSpan.FromSeconds(90));

        await Desk.Ask("Note", new AddNote("A door slammed."));

        var envelope = Assert.Single(Link.Asked);
        Assert.Equal(40, envelope.ExpectedVersion);
        Assert.Equal(1, envelope.ControlEpoch);
        Assert.Equal(SampleViews.HubTime.AddSeconds(95), envelope.ExpiresAt);
    }

    [Fact]
    public async Task TheHubsTimeIsKeptWhenTheWallClockOfTheBrowserIsWrong()
    {
        await Open(SampleViews.At(SessionStage.Testing) with { HubTime = SampleViews.HubTime.AddDays(400) });

        await Desk.Ask("Note", new AddNote("x"));

        Assert.Equal(SampleViews.HubTime.AddDays(400).AddSeconds(5), Assert.Single(Link.Asked).ExpiresAt);
    }

    [Fact]
    public async Task AfterTheHubsClockWasSetForwardTheNextPressIsInTimeAgain()
    {
        var shown = SampleViews.At(SessionStage.Testing);
        await Open(shown);
        var hubTime = SampleViews.HubTime.AddMinutes(1);
        Link.Reply = new WatchReply(shown with { HubTime = hubTime }, null);
        Link.Answer = envelope => new Receipt(envelope.CommandId, envelope.ExpiresAt < hubTime ? new Refusal(RefusalCodes.Expired, "Too late.", "Ask again.") : null, envelope.ExpectedVersion, null);

        Assert.False(await Desk.Ask("Note", new AddNote("x")));
        Assert.Single(Desk.Notices);
        Assert.True(await Desk.Ask("Note", new AddNote("x")));

        Assert.Equal(hubTime.Add(CommandDesk.CommandLife), Link.Asked[1].ExpiresAt);
    }

    [Fact]
    public async Task EveryPressIsANewCommand()
    {
        await Open(SampleViews.At(SessionStage.Testing));

        await Desk.Ask("Note", new AddNote("one"));
        await Desk.Ask("Note", new AddNote("two"));

        Assert.Equal(2, Link.Asked.Select(envelope => envelope.CommandId).Distinct().Count());
    }

    [Fact]
    public async Task APressWhileTheSameWaitsIsTheFirstOneAndSilenceIsSentEachTime()
    {
        await Open(SampleViews.At(SessionStage.Testing));
        Link.Enter(LinkPhase.Reconnecting);
        Task<bool>[] pressed =
        [
            Desk.Ask("Note", new AddNote("one")), Desk.Ask("Note", new AddNote("one")), Desk.Ask("Note", new AddNote("two")),
            Desk.Hold(), Desk.Hold(),
        ];

        Link.Enter(LinkPhase.Connected);

        Assert.All(await Task.WhenAll(pressed), Assert.True);
        Assert.Equal(["one", "two"], Link.Asked.Select(envelope => envelope.Command).OfType<AddNote>().Select(note => note.Text).Order(StringComparer.Ordinal));
        Assert.Equal(2, Link.Asked.Count(envelope => envelope.Command is Hold));
        Assert.True(await Desk.Ask("Note", new AddNote("one")));
        Assert.Equal(5, Link.Asked.Count);
    }

    [Fact]
    public async Task ABrokenLinkSendsTheSameCommandOnceMoreWithTheSameIdAndExpiry()
    {
        await Open(SampleViews.At(SessionStage.Testing));
        var answer = Link.Answer;
        Link.Answer = _ =>
        {
            Link.Answer = answer;
            throw new IOException("The link broke.");
        };

        Assert.True(await Desk.Ask("Hold", new Hold(null)));

        Assert.Equal(2, Link.Asked.Count);
        Assert.Equal(Link.Asked[0], Link.Asked[1]);
        Assert.Empty(Desk.Notices);
    }

    [Fact]
    public async Task ACommandThatRunsOutWhileTheLinkIsDownIsNotSentLaterByItself()
    {
        await Open(SampleViews.At(SessionStage.Testing));
        Link.Enter(LinkPhase.Reconnecting);

        var asking = Desk.Ask("Hold", new Hold(null));
        Time.Advance(CommandDesk.CommandLife + TimeSpan.FromSeconds(1));
        Assert.False(await asking);
        Link.Enter(LinkPhase.Connected);

        Assert.Empty(Link.Asked);
        var notice = Assert.Single(Desk.Notices);
        Assert.Equal(("Hold", "The hub cannot be reached, so this was not sent."), (notice.What, notice.Sentence));
        Assert.Contains("press Stop", notice.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhatWasSentAndNotAnsweredIsCalledUnknown()
    {
        await Open(SampleViews.At(SessionStage.Testing));
        Link.Answer = _ => throw new IOException("The link broke.");

        Assert.False(await Desk.Ask("Hold", new Hold(null)));

        Assert.Contains("It may have been done", Assert.Single(Desk.Notices).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TryingAgainAfterAFaultUsesTheSameIdSoThatItCannotHappenTwice()
    {
        await Open(SampleViews.At(SessionStage.Testing));
        var answer = Link.Answer;
        Link.Answer = _ => throw new HubException("fault");
        await Desk.Ask("Note", new AddNote("x"));
        var notice = Assert.Single(Desk.Notices);
        Link.Answer = answer;

        await notice.Again!();

        Assert.Equal(2, Link.Asked.Count);
        Assert.Equal(Link.Asked[0].CommandId, Link.Asked[1].CommandId);
    }

    [Fact]
    public async Task ARefusalStaysUntilItIsPutAwayAndTheSameOneIsCounted()
    {
        await Open(SampleViews.At(SessionStage.Testing));
        Link.Answer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.StepRunning, "A step is running.", "Wait or cut it."), 40, null);

        await Desk.Ask("Present", new AddNote("x"));
        await Desk.Ask("Present", new AddNote("x"));

        var notice = Assert.Single(Desk.Notices);
        Assert.Equal(("A step is running.", "Wait or cut it.", 2), (notice.Sentence, notice.Remedy, notice.Times));
        Desk.PutAway(notice);
        Assert.Empty(Desk.Notices);
    }

    [Fact]
    public async Task AHintOfThePageGoesAwayWithTheNextThingDoneButARefusalDoesNot()
    {
        await Open(SampleViews.At(SessionStage.Testing));
        var answer = Link.Answer;
        Link.Answer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.StaleView, "The session changed.", null), 40, null);
        await Desk.Ask("Hold", new Hold(null));
        Desk.Explain("Cut", "No step is in hand.");
        Assert.Equal(2, Desk.Notices.Count);

        Link.Answer = answer;
        await Desk.Ask("Note", new AddNote("x"));

        Assert.Equal("Hold", Assert.Single(Desk.Notices).What);
    }

    [Fact]
    public async Task ARefusalGoesWhenTheSameIsDoneAfterAllOrItsStageIsOver()
    {
        await Open(SampleViews.At(SessionStage.Identity));
        var answer = Link.Answer;
        Link.Answer = envelope => new Receipt(envelope.CommandId, new Refusal(RefusalCodes.Invalid, "Who is present is missing.", null), 40, null);
        await Desk.Ask("Who and where", new AddNote("x"));
        await Desk.Ask("Hold", new Hold(null));
        Link.Answer = answer;

        await Desk.Ask("Who and where", new AddNote("y"));
        Assert.Equal("Hold", Assert.Single(Desk.Notices).What);

        Link.Push(SampleViews.At(SessionStage.Consent, version: 41));
        Assert.Empty(Desk.Notices);
    }

    [Fact]
    public async Task OnlyWhoeverIsInControlIsOfferedCommands()
    {
        await Open(SampleViews.At(SessionStage.Testing) with { Control = new ControlView(2, "p-2", "Ivo Lindqvist") });

        Assert.Equal("Ivo Lindqvist is in control. Ask for control, or take over with a reason.", Desk.Move("hold").WhyNot);
        Assert.False(await Desk.Hold());
        Assert.Empty(Link.Asked);
    }
}
