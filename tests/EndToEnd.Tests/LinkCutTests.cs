using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Sound never outlives its lease: the longest a tone may go on after its link is cut (docs/protocol.md, "Lease"), read from the samples the kit handed to its output.</summary>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class LinkCutTests(ITestOutputHelper output)
{
    private static readonly TimeSpan _afterReset = TimeSpan.FromSeconds(0.5);
    private static readonly TimeSpan _afterSilence = TimeSpan.FromSeconds(1.1);

    /// <summary>Shorter than the tone, so that a tone that was not cut is seen; longer than any limit.</summary>
    private static readonly TimeSpan _lookAhead = TimeSpan.FromSeconds(5);

    /// <summary>How long the tone is left alone first, so that renewals of its lease have carried it.</summary>
    private static readonly TimeSpan _steady = TimeSpan.FromSeconds(2);

    private static readonly PresentToneStep _longTone = new(Ear.Right, 1000, 40, ToneShape.Steady, 10_000);

    [Fact]
    public async Task AToneFallsSilentWhenTheHubIsKilled() =>
        await CutDuringATone(
            async rig => await rig.Hub.Kill(TestContext.Current.CancellationToken),
            async rig => await rig.Hub.StartAgain(TestContext.Current.CancellationToken),
            _afterReset);

    [Fact]
    public async Task AToneFallsSilentWhenTheSocketIsReset() =>
        await CutDuringATone(
            rig =>
            {
                rig.Proxy.Reset();
                return Task.CompletedTask;
            },
            rig =>
            {
                rig.Proxy.Restore();
                return Task.CompletedTask;
            },
            _afterReset);

    [Fact]
    public async Task AToneFallsSilentWhenTheTrafficIsDroppedWithoutAWord() =>
        await CutDuringATone(
            rig =>
            {
                rig.Proxy.DropSilently();
                return Task.CompletedTask;
            },
            rig =>
            {
                rig.Proxy.Restore();
                return Task.CompletedTask;
            },
            _afterSilence);

    private async Task CutDuringATone(Func<SessionRig, Task> cut, Func<SessionRig, Task> restore, TimeSpan limit)
    {
        var cancellation = TestContext.Current.CancellationToken;
        await using var rig = await SessionRig.Start("valid", "fast", cancellation);
        await rig.WalkTo(SessionStage.Testing, cancellation);

        // The gates pass quickly; the tone must last as long as it sounds.
        await rig.Agent.Kill(cancellation);
        await rig.Agent.Start("realtime", enrolmentCode: null, cancellation);
        await rig.WalkTo(SessionStage.Testing, cancellation);
        var sounding = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        rig.Link.Signalled += signal =>
        {
            if (signal.Kind == LiveSignalKind.SoundOn)
            {
                sounding.TrySetResult();
            }
        };
        var receipt = await rig.Link.Ask(new OrderStep(_longTone, LoudConfirmed: false), cancellation);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        await sounding.Task.WaitAsync(Limits.Start, TimeProvider.System, cancellation);

        await PlayedSound.ReadPast(rig.Agent.Recording, TimeProvider.System.GetTimestamp(), _steady, cancellation);
        var cutAt = TimeProvider.System.GetTimestamp();
        await cut(rig);
        var played = await PlayedSound.ReadPast(rig.Agent.Recording, cutAt, _lookAhead, cancellation);
        await restore(rig);

        var after = played.LastSoundAfter(cutAt, _lookAhead);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Silent {after.TotalSeconds:0.000} s after the cut; limit {limit.TotalSeconds:0.0} s."));
        Assert.True(played.SoundedAt(cutAt - (TimeProvider.System.TimestampFrequency / 5)), "Nothing sounded just before the cut, so the cut shows nothing.");
        Assert.True(after <= limit, $"Sound went on for {after.TotalSeconds:0.000} s.");

        var view = await rig.Link.Until(seen => seen.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellation).WaitAsync(Limits.Start, TimeProvider.System, cancellation);
        Assert.Equal(StepEnding.Interrupted, view.Step!.Ending);
        Assert.All(view.Step.Trials, trial => Assert.Equal(TrialVerdict.Void, trial.Verdict));

        // Link restored: the session goes on, and nothing late is played by itself.
        await rig.Agent.Kill(cancellation);
        await rig.Agent.Start("fast", enrolmentCode: null, cancellation);
        var end = await rig.Clinician.Walk(cancellation).WaitAsync(Limits.Walk, TimeProvider.System, cancellation);
        Assert.True(end.Closed, end.Sentence);
        Assert.Equal(4, end.View.Thresholds.Count);
    }
}
