using System.Collections.Concurrent;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Power cuts: hub or agent killed without warning in every state. The session goes on to its close; nothing acknowledged is lost and nothing is doubled.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class KillTests
{
    private static readonly SessionStage[] _stages =
    [
        SessionStage.Connecting, SessionStage.Identity, SessionStage.Consent, SessionStage.KitCheck, SessionStage.RoomNoise,
        SessionStage.EarLook, SessionStage.SideProof, SessionStage.Testing, SessionStage.Review, SessionStage.Handoff,
    ];

    [Fact]
    public async Task ASessionGoesOnToItsCloseWhenTheHubIsKilledInEveryState() =>
        await KillInEveryState(
            async (rig, cancellation) =>
            {
                await rig.Hub.Kill(cancellation);
                await rig.Hub.StartAgain(cancellation);
            });

    [Fact]
    public async Task ASessionGoesOnToItsCloseWhenTheAgentIsKilledInEveryState() =>
        await KillInEveryState(
            async (rig, cancellation) =>
            {
                await rig.Agent.Kill(cancellation);
                await rig.Agent.Start("fast", enrolmentCode: null, cancellation);
            });

    [Fact]
    public async Task ASearchGoesOnWhenTheHubIsKilledInTheMiddleOfIt() =>
        await KillInTheMiddleOfASearch(
            async (rig, cancellation) =>
            {
                await rig.Hub.Kill(cancellation);
                await rig.Hub.StartAgain(cancellation);
            });

    [Fact]
    public async Task ASearchGoesOnWhenTheAgentIsKilledInTheMiddleOfIt() =>
        await KillInTheMiddleOfASearch(
            async (rig, cancellation) =>
            {
                await rig.Agent.Kill(cancellation);
                await rig.Agent.Start("fast", enrolmentCode: null, cancellation);
            });

    private static async Task KillInEveryState(Func<SessionRig, CancellationToken, Task> kill)
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        var asked = new ConcurrentQueue<(CommandEnvelope Envelope, Receipt Receipt)>();
        rig.Link.Answered += (envelope, receipt) => asked.Enqueue((envelope, receipt));
        foreach (var stage in _stages)
        {
            var before = await rig.WalkTo(stage, cancellation);
            await kill(rig, cancellation);
            await AssertNothingLost(rig, before, cancellation);
        }

        await AssertGoesOnToClose(rig, cancellation);
        await WholeLog.AssertReceiptsStand(rig.Link, [.. asked], cancellation);
    }

    private static async Task KillInTheMiddleOfASearch(Func<SessionRig, CancellationToken, Task> kill)
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        var asked = new ConcurrentQueue<(CommandEnvelope Envelope, Receipt Receipt)>();
        rig.Link.Answered += (envelope, receipt) => asked.Enqueue((envelope, receipt));

        // A few trials in, but not at the end: the first ear alone has two frequencies and a retest.
        var walk = await rig.Clinician.WalkUntil(view => view.Step is { Request: SearchEarStep, Ending: null, Trials.Count: > 2 }, cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(walk.View.Step is { Ending: null }, walk.Sentence);
        await kill(rig, cancellation);

        await AssertNothingLost(rig, walk.View, cancellation);
        await AssertGoesOnToClose(rig, cancellation);
        await WholeLog.AssertReceiptsStand(rig.Link, [.. asked], cancellation);
    }

    /// <summary>What a console had been shown before is still there, event by event.</summary>
    private static async Task AssertNothingLost(SessionRig rig, SessionView before, CancellationToken cancellation)
    {
        var after = await rig.Link.Until(view => view.Version >= before.Version && view.Kit.Online, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        Assert.True(after.Integrity.Valid);
        Assert.Equal(before.Timeline, after.Timeline.Take(before.Timeline.Count));
        Assert.Equal(before.Thresholds.Count + before.Superseded.Count, after.Thresholds.Concat(after.Superseded).Count(record => before.Thresholds.Concat(before.Superseded).Any(known => known.StepId == record.StepId && known.Ear == record.Ear && known.FrequencyHz == record.FrequencyHz)));
    }

    private static async Task AssertGoesOnToClose(SessionRig rig, CancellationToken cancellation)
    {
        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);

        Assert.True(end.Closed, $"{end.Sentence}\nagent:\n{rig.Agent.Process.Text()}\nhub:\n{rig.Hub.Process.Text()}");
        Assert.True(end.View.Integrity.Valid);
        Assert.Equal(4, end.View.Thresholds.Count);
        Assert.All(end.View.Thresholds, record => Assert.Equal(record.Trials.Count, record.Trials.Select(trial => trial.Number).Distinct().Count()));
        await WholeLog.AssertOf(rig.Link, rig.Hub.Session, cancellation);
    }
}
