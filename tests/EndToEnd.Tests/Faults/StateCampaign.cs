using TeleHearing.Contracts;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>The link between hub and kit goes away in every state of a session, in one direction or both, and comes back; the session is walked to its close.</summary>
internal static class StateCampaign
{
    private static readonly SessionStage[] _stages =
    [
        SessionStage.Connecting, SessionStage.Identity, SessionStage.Consent, SessionStage.KitCheck, SessionStage.RoomNoise,
        SessionStage.EarLook, SessionStage.SideProof, SessionStage.Testing, SessionStage.Review, SessionStage.Handoff,
    ];

    /// <summary>Walks one session; at every state the link goes away, in a way that is another one from state to state.</summary>
    /// <param name="first">Way at the first state.</param>
    /// <param name="cancellationToken">Cancels.</param>
    /// <returns>How many times it went away.</returns>
    public static async Task<int> Run(int first, CancellationToken cancellationToken)
    {
        await using var rig = await SessionRig.Start("valid", "fast", cancellationToken);
        for (var at = 0; at < _stages.Length; at++)
        {
            var before = await rig.WalkTo(_stages[at], cancellationToken);
            switch ((first + at) % 4)
            {
                case 0:
                    rig.Proxy.Reset();
                    break;
                case 1:
                    rig.Proxy.DropSilently();
                    break;
                case 2:
                    rig.Proxy.ToTarget.Drops = true;
                    break;
                default:
                    rig.Proxy.FromTarget.Drops = true;
                    break;
            }

            await rig.Link.Until(view => !view.Kit.Online, cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
            rig.Proxy.Restore();
            var after = await rig.Link.Until(view => view.Kit.Online && view.Stage != SessionStage.LinkLost, cancellationToken).WaitAsync(Limits.Start, TimeProvider.System, cancellationToken);
            Assert.Equal(before.Timeline, after.Timeline.Take(before.Timeline.Count));
            Assert.Equal(_stages[at], after.Stage);
        }

        var end = await rig.Clinician.Walk(cancellationToken).WaitAsync(Limits.Walk, TimeProvider.System, cancellationToken);
        Assert.True(end.Closed, end.Sentence);
        Assert.Equal(4, end.View.Thresholds.Count);
        await WholeLog.AssertOf(rig.Link, rig.Hub.Session, cancellationToken);
        return _stages.Length;
    }
}
