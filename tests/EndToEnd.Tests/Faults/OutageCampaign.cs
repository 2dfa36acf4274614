using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>How a link goes away.</summary>
internal enum OutageKind
{
    /// <summary>Nothing passes any more and nobody is told.</summary>
    Silent,

    /// <summary>Connections are reset and new ones refused.</summary>
    Refused,

    /// <summary>What the kit says does not arrive; what it is told does.</summary>
    SilentToHub,

    /// <summary>What the kit is told does not arrive; what it says does.</summary>
    SilentFromHub,

    /// <summary>The hub stands still (SIGSTOP), its connections open.</summary>
    HubStandsStill,

    /// <summary>The hub is killed and started again after it.</summary>
    HubKilled,

    /// <summary>The kit's program stands still, its connections open; when it goes on, its tone is over.</summary>
    KitStandsStill,
}

/// <summary>What came of one outage in the middle of a tone.</summary>
/// <param name="Kind">How the link went away.</param>
/// <param name="Length">For how long.</param>
/// <param name="Silence">How long after it the last sound ended.</param>
/// <param name="Noticed">How long after it the console showed that the kit is not heard; absent when it did not while the link was away.</param>
/// <param name="Back">How long after its end the next step was ordered that was then carried out; with the room and the sides when they had to be proved anew.</param>
/// <param name="Repeated">Whether the room and the sides were proved anew first, as after a long gap.</param>
internal sealed record OutageFigures(OutageKind Kind, TimeSpan Length, TimeSpan Silence, TimeSpan? Noticed, TimeSpan Back, bool Repeated);

/// <summary>Outages in the middle of a tone, on real processes at real-time pace: silence in time, and the session goes on afterwards.</summary>
internal static class OutageCampaign
{
    /// <summary>Longer than any limit of silence; shorter than what is left of the tone.</summary>
    private static readonly TimeSpan _lookAhead = TimeSpan.FromSeconds(4);

    /// <summary>A few blocks of the kit's sound, 10 ms each.</summary>
    private static readonly TimeSpan _fall = TimeSpan.FromMilliseconds(50);

    /// <summary>Brings a session to testing and its kit to real-time pace.</summary>
    public static async Task<SessionRig> Prepare(CancellationToken cancellationToken)
    {
        var rig = await SessionRig.Start("valid", "fast", cancellationToken);
        await rig.WalkTo(SessionStage.Testing, cancellationToken);
        await rig.Agent.Kill(cancellationToken);
        await rig.Agent.Start("realtime", enrolmentCode: null, cancellationToken);
        await rig.WalkTo(SessionStage.Testing, cancellationToken);
        return rig;
    }

    /// <summary>One outage, some time into a tone.</summary>
    /// <param name="rig">A prepared session.</param>
    /// <param name="kind">How the link goes away.</param>
    /// <param name="length">For how long.</param>
    /// <param name="into">How far into the tone it begins.</param>
    /// <param name="cancellationToken">Cancels.</param>
    public static async Task<OutageFigures> Run(SessionRig rig, OutageKind kind, TimeSpan length, TimeSpan into, CancellationToken cancellationToken)
    {
        var tones = new Tones(rig.Link, rig.Agent, token => rig.WalkTo(SessionStage.Testing, token));
        var ordered = await tones.SoundOn(into, cancellationToken);
        using var watching = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var cutAt = TimeProvider.System.GetTimestamp();
        await Cut(rig, kind, cancellationToken);
        var noticed = Noticed(rig, watching.Token);
        var left = length - TimeProvider.System.GetElapsedTime(cutAt);
        if (left > TimeSpan.Zero)
        {
            await Task.Delay(left, TimeProvider.System, cancellationToken);
        }

        await watching.CancelAsync();
        await Restore(rig, kind, cancellationToken);
        var restoredAt = TimeProvider.System.GetTimestamp();
        var view = await rig.Link.Until(seen => seen is { Kit.Online: true, Step.Ending: not null } && seen.Step.StepId == ordered && seen.Stage != SessionStage.LinkLost, cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
        if (view.Step!.Ending != StepEnding.Completed)
        {
            Assert.Equal(StepEnding.Interrupted, view.Step.Ending);
            Assert.All(view.Step.Trials, trial => Assert.Equal(TrialVerdict.Void, trial.Verdict));
        }
        else
        {
            // A lease may outlast a short one that breaks no connection.
            Assert.True(length < TimeSpan.FromMilliseconds(Protocol.LeaseLengthMs), $"A tone went on to its end over {length.TotalSeconds} s without a link.");
        }

        // After a long gap the room and the sides are proved anew; then, and in any case, a step is carried out.
        var repeated = view.Stage is SessionStage.RoomNoise or SessionStage.SideProof;
        var back = await tones.CarriedOut(restoredAt, cancellationToken);

        var played = await PlayedSound.ReadPast(rig.Agent.Recording, cutAt, _lookAhead, cancellationToken);
        Assert.True(played.SoundedAt(cutAt - (TimeProvider.System.TimestampFrequency / 5)), "Nothing sounded just before the outage, so it shows nothing.");
        return new OutageFigures(kind, length, SilentAfter(played, cutAt, length), await noticed is { } at ? TimeProvider.System.GetElapsedTime(cutAt, at) : null, back, repeated);
    }

    /// <summary>When the console showed that the kit is not heard; absent when it did not before it was given up.</summary>
    private static async Task<long?> Noticed(SessionRig rig, CancellationToken cancellationToken)
    {
        try
        {
            await rig.Link.Until(view => !view.Kit.Online, cancellationToken);
            return TimeProvider.System.GetTimestamp();
        }
        catch (OperationCanceledException)
        {
            return null;
        }
    }

    /// <summary>How long the tone went on; looked at not quite as far as the link was away, or what sounds anew afterwards would count, and the one block in which a kit that stood still lets its tone fall when it goes on.</summary>
    private static TimeSpan SilentAfter(PlayedSound played, long cutAt, TimeSpan length) => played.LastSoundAfter(cutAt, (length < _lookAhead ? length : _lookAhead) - _fall);

    private static async Task Cut(SessionRig rig, OutageKind kind, CancellationToken cancellationToken)
    {
        switch (kind)
        {
            case OutageKind.Silent:
                rig.Proxy.DropSilently();
                break;
            case OutageKind.Refused:
                rig.Proxy.Reset();
                break;
            case OutageKind.SilentToHub:
                rig.Proxy.ToTarget.Drops = true;
                break;
            case OutageKind.SilentFromHub:
                rig.Proxy.FromTarget.Drops = true;
                break;
            case OutageKind.HubStandsStill:
                rig.Hub.Process.StandStill();
                break;
            case OutageKind.HubKilled:
                await rig.Hub.Kill(cancellationToken);
                break;
            case OutageKind.KitStandsStill:
                rig.Agent.Process.StandStill();
                break;
        }
    }

    private static async Task Restore(SessionRig rig, OutageKind kind, CancellationToken cancellationToken)
    {
        switch (kind)
        {
            case OutageKind.HubStandsStill:
                rig.Hub.Process.GoOn();
                break;
            case OutageKind.HubKilled:
                await rig.Hub.StartAgain(cancellationToken);
                break;
            case OutageKind.KitStandsStill:
                rig.Agent.Process.GoOn();
                break;
            default:
                rig.Proxy.Restore();
                break;
        }
    }
}
