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
        await AssertReceiptsStand(rig, [.. asked], cancellation);
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
        await AssertReceiptsStand(rig, [.. asked], cancellation);
    }

    /// <summary>What a console had been shown before is still there, event by event.</summary>
    private static async Task AssertNothingLost(SessionRig rig, SessionView before, CancellationToken cancellation)
    {
        var after = await rig.Link.Until(view => view.Version >= before.Version && view.Kit.Online, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        Assert.True(after.Integrity.Valid);
        Assert.Equal(before.Timeline, after.Timeline.Take(before.Timeline.Count));
        Assert.Equal(before.Thresholds.Count + before.Superseded.Count, after.Thresholds.Concat(after.Superseded).Count(record => before.Thresholds.Concat(before.Superseded).Any(known => known.StepId == record.StepId && known.Ear == record.Ear && known.FrequencyHz == record.FrequencyHz)));
    }

    /// <summary>Asking again under the same id gives the first receipt again: what was acknowledged is held, and not done twice.</summary>
    private static async Task AssertReceiptsStand(SessionRig rig, IReadOnlyList<(CommandEnvelope Envelope, Receipt Receipt)> asked, CancellationToken cancellation)
    {
        // The kit's word that it holds nothing more comes after the close, as the last entry.
        var wiped = await rig.Link.Until(view => view.Timeline.Any(entry => entry.Text.Contains("nothing of this session is left on it", StringComparison.Ordinal)), cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        var version = wiped.Version;
        foreach (var (envelope, receipt) in asked.Where(one => one.Receipt.Accepted()))
        {
            Assert.Equal(receipt, await rig.Link.Ask(envelope, cancellation));
            Assert.True(receipt.SessionVersion <= version);
        }

        Assert.Equal(version, rig.Link.View.Version);
        Assert.NotEmpty(asked);
    }

    private static async Task AssertGoesOnToClose(SessionRig rig, CancellationToken cancellation)
    {
        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);

        Assert.True(end.Closed, $"{end.Sentence}\nagent:\n{rig.Agent.Process.Text()}\nhub:\n{rig.Hub.Process.Text()}");
        Assert.True(end.View.Integrity.Valid);
        Assert.Equal(4, end.View.Thresholds.Count);
        Assert.All(end.View.Thresholds, record => Assert.Equal(record.Trials.Count, record.Trials.Select(trial => trial.Number).Distinct().Count()));
        await AssertLogIsWhole(rig, cancellation);
    }

    /// <summary>Reads the event log as exported: no gap, no trial, order, beginning, end or threshold twice, and every hash as it must be.</summary>
    private static async Task AssertLogIsWhole(SessionRig rig, CancellationToken cancellation)
    {
        var log = await ExportedLog.Read(rig.Link, rig.Hub.Session, cancellation);
        log.AssertChained();
        string[] facts =
        [
            .. log.Of("trial.taken").Select(payload => $"trial {payload.GetProperty("stepId")} {payload.GetProperty("trial").GetProperty("number")}"),
            .. log.Of("step.ordered").Select(payload => $"ordered {payload.GetProperty("order").GetProperty("stepId")}"),
            .. log.Of("step.began").Select(payload => $"began {payload.GetProperty("stepId")}"),
            .. log.Of("step.over").Select(payload => $"over {payload.GetProperty("stepId")}"),
        ];

        Assert.Equal(log.Of("step.ordered").Count, log.Of("step.over").Count);
        Assert.NotEmpty(log.Of("trial.taken"));
        Assert.Equal(facts.Length, facts.Distinct().Count());
    }
}
