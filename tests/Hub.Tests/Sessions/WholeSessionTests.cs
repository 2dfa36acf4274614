using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>One session from scheduled to closed, over real sockets, with a console and a kit that are both programs.</summary>
public sealed class WholeSessionTests
{
    [Fact]
    public async Task ASessionGoesFromScheduledToClosed()
    {
        await using var hub = await RunningHub.Start();
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(clinician);
        Assert.Equal(SessionStage.Scheduled, (await console.Watch(session)).View!.Stage);

        await console.Must(new TakeControl());
        Assert.Equal(RefusalCodes.GateNotMet, (await console.Ask(new Advance())).Refusal!.Code);
        Assert.Null((await kit.Connect()).Refusal);
        await Walk.ToTesting(console, kit);

        var receipt = await console.Must(new OrderStep(new SearchThresholdStep(Ear.Right, 1000, StoppingRule.TwoOfThree, ToneShape.Steady), false));
        var order = await kit.NextOrder();
        Assert.Equal(receipt.StepId, order.StepId);
        Assert.Equal(100, order.MaximumLevelDbHl);
        Assert.Equal(Samples.QuietRoom.LowestProvable, order.LowestProvable);
        Assert.Equal("search", (await kit.UntilScene(scene => scene.RunningStep is not null && scene.Stage == SessionStage.Testing)).RunningStep);
        await kit.Report(session, new StepStarted(order.StepId), new TrialDone(order.StepId, Samples.Trial()), new ThresholdFound(Samples.Threshold(order.StepId)), new StepEnded(order.StepId, StepEnding.Completed, null, null, null));
        var view = await console.Until(shown => shown.Thresholds.Count == 1 && shown.Step!.Ending == StepEnding.Completed);
        Assert.Equal(new ThresholdOutcome.Established(40), view.Thresholds[0].Outcome);
        Assert.Single(view.Step!.Trials);

        await console.Must(new Advance());
        await console.Must(Samples.Review);
        await console.Must(new Advance());
        await console.Must(Samples.Handoff);
        await kit.Report(session, new AssistantDone(SessionStage.Handoff));
        await console.Must(new Advance());
        view = await console.Until(shown => shown.Stage == SessionStage.Closed);
        Assert.True(view.Integrity.Valid);
        Assert.Equal(RefusalCodes.SessionOver, (await console.Ask(new AddNote("late"))).Refusal!.Code);
    }
}
