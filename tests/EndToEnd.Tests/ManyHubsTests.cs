using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>A clinic with two hubs loses one of them in the middle of a tone: silence, and the session finishes at the other (docs/operations/scale.md).</summary>
[Trait("Kind", "EndToEnd")]
public sealed class ManyHubsTests(ITestOutputHelper output)
{
    /// <summary>As with one hub whose process is killed: its sockets are reset.</summary>
    private static readonly TimeSpan _afterReset = TimeSpan.FromSeconds(0.5);

    /// <summary>Shorter than the tone, so that a tone that was not cut is seen; longer than any limit.</summary>
    private static readonly TimeSpan _lookAhead = TimeSpan.FromSeconds(5);

    private static readonly TimeSpan _steady = TimeSpan.FromSeconds(2);

    private static readonly PresentToneStep _longTone = new(Ear.Right, 1000, 40, ToneShape.Steady, 10_000);

    [Fact]
    public async Task ATonesHubIsKilledAndTheSessionFinishesAtTheOther()
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await ManyHubsRig.Start(cancellation);
        await using var agent = new AgentRig(rig.Address, SessionRig.ShortListener);
        await agent.Provision("valid", cancellation);
        await agent.Start("fast", rig.EnrolmentCode, cancellation);
        await using var link = await rig.SignIn(cancellation);
        var clinician = new ScriptedClinician(link, SessionRig.ShortPlan, new WalkNarrator(TextWriter.Null, TimeProvider.System), TimeProvider.System);
        await WalkTo(clinician, agent, rig);
        await agent.Kill(cancellation);
        await agent.Start("realtime", enrolmentCode: null, cancellation);
        await WalkTo(clinician, agent, rig);

        var sounding = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        link.Signalled += signal =>
        {
            if (signal.Kind == LiveSignalKind.SoundOn)
            {
                sounding.TrySetResult();
            }
        };
        var receipt = await link.Ask(new OrderStep(_longTone, LoudConfirmed: false), cancellation);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        await sounding.Task.WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        await PlayedSound.ReadPast(agent.Recording, TimeProvider.System.GetTimestamp(), _steady, cancellation);

        var killed = await rig.HubOfTheKit(cancellation);
        var cutAt = TimeProvider.System.GetTimestamp();
        killed.KillHard();
        var played = await PlayedSound.ReadPast(agent.Recording, cutAt, _lookAhead, cancellation);

        var after = played.LastSoundAfter(cutAt, _lookAhead);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Silent {after.TotalSeconds:0.000} s after the kill; limit {_afterReset.TotalSeconds:0.0} s."));
        Assert.True(played.SoundedAt(cutAt - (TimeProvider.System.TimestampFrequency / 5)), "Nothing sounded just before the kill, so it shows nothing.");
        Assert.True(after <= _afterReset, $"Sound went on for {after.TotalSeconds:0.000} s.");

        // By themselves kit and console come to the hub that is left, and the step is over there.
        var view = await link.Until(seen => seen.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        Assert.Equal(StepEnding.Interrupted, view.Step!.Ending);
        Assert.NotEqual(killed.Id, (await rig.HubOfTheKit(cancellation)).Id);

        await agent.Kill(cancellation);
        await agent.Start("fast", enrolmentCode: null, cancellation);
        var end = await clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(end.Closed, $"{end.Sentence}\nagent:\n{agent.Process.Text()}\nhubs:\n{rig.Text}");
        Assert.Equal(4, end.View.Thresholds.Count);
    }

    private static async Task WalkTo(ScriptedClinician clinician, AgentRig agent, ManyHubsRig rig)
    {
        var end = await clinician.WalkUntil(view => view.Stage == SessionStage.Testing, TestContext.Current.CancellationToken).WaitAsync(Limits.Walk, TimeProvider.System, TestContext.Current.CancellationToken);
        Assert.True(end.View.Stage == SessionStage.Testing, $"{end.Sentence}\nagent:\n{agent.Process.Text()}\nhubs:\n{rig.Text}");
    }
}
