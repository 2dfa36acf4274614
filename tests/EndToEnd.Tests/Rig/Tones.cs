using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Tones of a session at testing, of a kit at real-time pace: a long one in whose middle something fails, and a short one that shows that the session goes on.</summary>
internal sealed class Tones(ConsoleLink link, AgentRig agent, Func<CancellationToken, Task> walkToTesting)
{
    /// <summary>A machine that is too busy to keep sound and leases on time breaks a tone off by itself; then there is nothing to cut, and it is begun again.</summary>
    private const int MostTries = 5;

    private static readonly PresentToneStep _longTone = new(Ear.Right, 1000, 40, ToneShape.Steady, 10_000);
    private static readonly PresentToneStep _shortTone = new(Ear.Left, 1000, 40, ToneShape.Steady, 300);

    /// <summary>Orders a tone of 10 s, until one sounds that far into it.</summary>
    public async Task<StepId> SoundOn(TimeSpan into, CancellationToken cancellationToken)
    {
        for (var tries = 1; ; tries++)
        {
            var ordered = await Sound(into, cancellationToken);
            var now = TimeProvider.System.GetTimestamp();
            if (link.View.Step is { Ending: null } step && step.StepId == ordered && PlayedSound.Read(agent.Recording, TimeProvider.System).SoundedAt(now - (TimeProvider.System.TimestampFrequency / 5)))
            {
                return ordered;
            }

            Assert.True(tries < MostTries, "A tone never went on long enough to be cut.");
            await walkToTesting(cancellationToken);
            await link.Until(view => view.Step is null or { Ending: not null }, cancellationToken).WaitAsync(Limits.Step, TimeProvider.System, cancellationToken);
        }
    }

    /// <summary>Orders a short tone until it is carried out.</summary>
    /// <param name="since">Time stamp of what it follows, on the monotonic clock.</param>
    /// <param name="cancellationToken">Cancels.</param>
    /// <returns>How long after it the order was taken that was carried out.</returns>
    public async Task<TimeSpan> CarriedOut(long since, CancellationToken cancellationToken)
    {
        while (true)
        {
            await walkToTesting(cancellationToken);
            await link.Until(seen => seen.Step is null or { Ending: not null }, cancellationToken).WaitAsync(Limits.Step, TimeProvider.System, cancellationToken);
            var (version, receipt) = (link.View.Version, await link.Ask(new OrderStep(_shortTone, LoudConfirmed: false), cancellationToken));
            var taken = TimeProvider.System.GetElapsedTime(since);
            if (receipt.Accepted())
            {
                var over = await link.Until(seen => seen.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellationToken).WaitAsync(Limits.Step, TimeProvider.System, cancellationToken);
                if (over.Step!.Ending == StepEnding.Completed)
                {
                    return taken;
                }
            }

            // What stood still and goes on shows what it knew before, until it notices.
            Assert.True(taken < Limits.Step, receipt.Refusal?.Sentence ?? "The tone was broken off again and again.");
            await link.Until(seen => seen.Version > version || (seen.Kit.Online && seen.Stage == SessionStage.Testing), cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
            await Task.Delay(TimeSpan.FromMilliseconds(50), TimeProvider.System, cancellationToken);
        }
    }

    private async Task<StepId> Sound(TimeSpan into, CancellationToken cancellationToken)
    {
        var sounding = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        void Hear(LiveSignal signal)
        {
            if (signal.Kind == LiveSignalKind.SoundOn)
            {
                sounding.TrySetResult();
            }
        }

        link.Signalled += Hear;
        var receipt = await link.Ask(new OrderStep(_longTone, LoudConfirmed: false), cancellationToken);
        Assert.True(receipt.Accepted(), receipt.Refusal?.Sentence);
        var over = link.Until(view => view.Step is { Ending: not null } step && step.StepId == receipt.StepId, cancellationToken);
        await Task.WhenAny(sounding.Task, over).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
        link.Signalled -= Hear;
        await PlayedSound.ReadPast(agent.Recording, TimeProvider.System.GetTimestamp(), into, cancellationToken);
        return receipt.StepId!.Value;
    }
}
