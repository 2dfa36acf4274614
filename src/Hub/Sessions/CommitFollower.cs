using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions;

/// <summary>What follows a commit, in the order of commits: the kit is told, the broadcaster is woken. Waits for nothing.</summary>
internal sealed class CommitFollower
{
    private readonly KitLinks _links;
    private readonly Broadcaster _broadcaster;
    private readonly ControlLeases _leases;

    public CommitFollower(KitLinks links, Broadcaster broadcaster, ControlLeases leases)
    {
        _leases = leases;
        _links = links;
        _broadcaster = broadcaster;
    }

    public void Follow(IReadOnlyList<SessionState> after, IReadOnlyList<KitEffect> effects)
    {
        foreach (var state in after)
        {
            _links.Follow(state, effects);
            _leases.Follow(state);
        }

        _broadcaster.Wake();
    }
}
