using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>The list of what silences says what the deciders do. That nothing else cuts is held by <see cref="PureSession.Ask"/> in every pure test.</summary>
public sealed class SilencingTests
{
    public static TheoryData<string> Silences => [.. _silences.Keys];

    private static readonly Dictionary<string, (SessionCommand Command, PersonCaller By)> _silences = new()
    {
        ["hold"] = (new Hold(null), PureSession.Maren),
        ["withdraw"] = (new WithdrawConsent("no"), PureSession.Ivo),
        ["take over"] = (new TakeOverControl("no answer"), PureSession.Ivo),
        ["abort"] = (new Abort("unwell"), PureSession.Maren),
        ["convert"] = (new ConvertSession(ConversionTarget.Visit, "unwell"), PureSession.Maren),
    };

    [Theory]
    [MemberData(nameof(Silences))]
    public void WhatIsListedCutsTheStepInHand(string which)
    {
        var (command, by) = _silences[which];
        var session = PureSession.At(SessionStage.Testing);
        var step = session.Must(new OrderStep(new MeasureRoomStep(10), false)).StepId!.Value;

        Assert.True(Silencing.Silences(command));
        Assert.Equal([new EndStep(step)], session.Must(command, by).Effects);
    }

    [Fact]
    public void ACutAndATaskTakenBackCutTheStepInHand()
    {
        var session = PureSession.At(SessionStage.Testing);
        var step = session.Must(new OrderStep(new MeasureRoomStep(10), false)).StepId!.Value;
        Assert.True(Silencing.Silences(new CutStep(step)));
        Assert.Equal([new EndStep(step)], session.Must(new CutStep(step)).Effects);

        session = PureSession.At(SessionStage.Testing);
        session.Must(new LendControl(PureSession.Ada.Id, [AssistantTask.RoomNoise], 10));
        step = session.Must(new OrderStep(new MeasureRoomStep(10), false), PureSession.Ada).StepId!.Value;
        Assert.True(Silencing.Silences(new TakeBackControl()));
        Assert.Equal([new EndStep(step)], session.Must(new TakeBackControl()).Effects);
    }

    [Fact]
    public void ANoToWhatTestingRestsOnSilencesAndOtherAnswersDoNot()
    {
        Assert.True(Silencing.Silences(Samples.Answers(ConsentPurpose.RemoteMode)));
        Assert.False(Silencing.Silences(Samples.Consent));
        Assert.False(Silencing.Silences(null));
        Assert.False(Silencing.Silences(Samples.Consent with { Replies = null! }));
        Assert.False(Silencing.Silences(new AddNote("note")));
    }
}
