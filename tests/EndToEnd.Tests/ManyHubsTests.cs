using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>A clinic with two hubs loses each of its parts in turn while a session tests: silence in time, and the session goes on and closes (docs/operations/scale.md).</summary>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class ManyHubsTests(ITestOutputHelper output)
{
    /// <summary>As with one hub whose process is killed: its sockets are reset.</summary>
    private static readonly TimeSpan _afterReset = TimeSpan.FromSeconds(0.5);

    /// <summary>As with one hub that is not heard any more (docs/protocol.md, "Lease").</summary>
    private static readonly TimeSpan _afterSilence = TimeSpan.FromSeconds(1.1);

    /// <summary>A hub that has not read the log for a second grants no more sound, and what it granted lapses (docs/operations/scale.md).</summary>
    private static readonly TimeSpan _afterDatabase = TimeSpan.FromSeconds(2);

    /// <summary>Shorter than the tone, so that a tone that was not cut is seen; longer than any limit.</summary>
    private static readonly TimeSpan _lookAhead = TimeSpan.FromSeconds(5);

    private static readonly TimeSpan _into = TimeSpan.FromSeconds(2);

    [Fact]
    public async Task ASessionGoesOnWhicheverPartOfTheClinicFails()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await ManyHubsRig.Start(cancellation);
        await using var agent = new AgentRig(rig.Address, SessionRig.ShortListener);
        await agent.Provision("valid", cancellation);
        await agent.Start("fast", rig.EnrolmentCode, cancellation);
        await using var link = await rig.SignIn(cancellation);
        var clinician = new ScriptedClinician(link, SessionRig.ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System);
        await WalkTo(clinician, agent, rig, cancellation);
        await agent.Kill(cancellation);
        await agent.Start("realtime", enrolmentCode: null, cancellation);
        var tones = new Tones(link, agent, token => WalkTo(clinician, agent, rig, token));

        await AHubIsKilled(rig, agent, link, tones, cancellation);
        await AHubStandsStill(rig, agent, tones, cancellation);
        await TheWireIsGone(rig, tones, cancellation);
        await TheDatabaseIsGone(rig, agent, link, tones, cancellation);
        await HubsAreStartedAnewOneAfterTheOther(rig, tones, cancellation);

        await agent.Kill(cancellation);
        await agent.Start("fast", enrolmentCode: null, cancellation);
        var end = await clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(end.Closed, $"{end.Sentence}\nagent:\n{agent.Process.Text()}\nhubs:\n{rig.Text}");
        Assert.Equal(4, end.View.Thresholds.Count);
        await WholeLog.AssertOf(link, rig.Session, cancellation);
    }

    private async Task AHubIsKilled(ManyHubsRig rig, AgentRig agent, ConsoleLink link, Tones tones, CancellationToken cancellationToken)
    {
        var step = await tones.SoundOn(_into, cancellationToken);
        var hub = await rig.HubOfTheKit(cancellationToken);
        var at = TimeProvider.System.GetTimestamp();
        hub.KillHard();
        await SilentAfter(agent, at, _afterReset, "the hub was killed", cancellationToken);

        // By themselves kit and console come to the hub that is left, and the step is over there.
        var view = await link.Until(seen => seen.Step is { Ending: not null } over && over.StepId == step, cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
        Assert.Equal(StepEnding.Interrupted, view.Step!.Ending);
        await GoesOn(tones, at, "the hub was killed", cancellationToken);
        Assert.NotEqual(hub.Id, (await rig.HubOfTheKit(cancellationToken)).Id);
        await rig.StartAgain(hub, cancellationToken);
    }

    private async Task AHubStandsStill(ManyHubsRig rig, AgentRig agent, Tones tones, CancellationToken cancellationToken)
    {
        await tones.SoundOn(_into, cancellationToken);
        var hub = await rig.HubOfTheKit(cancellationToken);
        var at = TimeProvider.System.GetTimestamp();
        hub.StandStill();
        await SilentAfter(agent, at, _afterSilence, "the hub stood still", cancellationToken);
        await GoesOn(tones, at, "the hub stood still", cancellationToken);
        Assert.NotEqual(hub.Id, (await rig.HubOfTheKit(cancellationToken)).Id);

        // When it wakes it serves like the other.
        hub.GoOn();
        await Eventually.Holds(() => rig.IsReady(hub, cancellationToken), "the hub that stood still is ready again", Limits.Start, cancellationToken);
        await GoesOn(tones, TimeProvider.System.GetTimestamp(), "it went on", cancellationToken);
    }

    private async Task TheWireIsGone(ManyHubsRig rig, Tones tones, CancellationToken cancellationToken)
    {
        var at = TimeProvider.System.GetTimestamp();
        await rig.Redis.Fail();
        await GoesOn(tones, at, "Redis was killed", cancellationToken);
        Assert.True(await rig.IsReady(rig.Hubs[0], cancellationToken), "Without Redis a hub decides and records as before.");
        await rig.Redis.StartAgain();
        await GoesOn(tones, TimeProvider.System.GetTimestamp(), "Redis was there again", cancellationToken);
    }

    private async Task TheDatabaseIsGone(ManyHubsRig rig, AgentRig agent, ConsoleLink link, Tones tones, CancellationToken cancellationToken)
    {
        await tones.SoundOn(_into, cancellationToken);
        var at = TimeProvider.System.GetTimestamp();
        await rig.Postgres.Fail();
        await SilentAfter(agent, at, _afterDatabase, "PostgreSQL crashed", cancellationToken);
        var receipt = await link.Ask(new Hold("The database is gone."), cancellationToken);
        Assert.False(receipt.Accepted(), "A hub took what it cannot keep.");
        Assert.False(await rig.IsReady(rig.Hubs[0], cancellationToken), "A hub without its database says that it is ready.");

        await rig.Postgres.StartAgain();
        await GoesOn(tones, TimeProvider.System.GetTimestamp(), "PostgreSQL was there again", cancellationToken);
    }

    private async Task HubsAreStartedAnewOneAfterTheOther(ManyHubsRig rig, Tones tones, CancellationToken cancellationToken)
    {
        foreach (var hub in rig.Hubs.ToArray())
        {
            var at = TimeProvider.System.GetTimestamp();
            hub.Interrupt();
            await rig.StartAgain(hub, cancellationToken);
            await GoesOn(tones, at, "a hub was ended and started anew", cancellationToken);
        }
    }

    private async Task SilentAfter(AgentRig agent, long at, TimeSpan limit, string what, CancellationToken cancellationToken)
    {
        var played = await PlayedSound.ReadPast(agent.Recording, at, _lookAhead, cancellationToken);
        var after = played.LastSoundAfter(at, _lookAhead);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Silent {after.TotalSeconds:0.000} s after {what}; limit {limit.TotalSeconds:0.0} s."));
        Assert.True(played.SoundedAt(at - (TimeProvider.System.TimestampFrequency / 5)), $"Nothing sounded just before {what}, so it shows nothing.");
        Assert.True(after <= limit, $"Sound went on for {after.TotalSeconds:0.000} s after {what}.");
    }

    private async Task GoesOn(Tones tones, long since, string what, CancellationToken cancellationToken)
    {
        var after = await tones.CarriedOut(since, cancellationToken);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"A tone was carried out that was ordered {after.TotalSeconds:0.0} s after {what}."));
    }

    private static async Task WalkTo(ScriptedClinician clinician, AgentRig agent, ManyHubsRig rig, CancellationToken cancellationToken)
    {
        var end = await clinician.WalkUntil(view => view.Stage == SessionStage.Testing, cancellationToken).WaitAsync(Limits.Walk, TimeProvider.System, cancellationToken);
        Assert.True(end.View.Stage == SessionStage.Testing, $"{end.Sentence}\nagent:\n{agent.Process.Text()}\nhubs:\n{rig.Text}");
    }
}
