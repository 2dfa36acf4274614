using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>The newest picture of the one kit this tab watches. Holds no truth.</summary>
public sealed class KitStore : IDisposable
{
    private readonly IConsoleLink _link;
    private readonly HubClock _clock;

    /// <summary>Makes an empty store on a link.</summary>
    public KitStore(IConsoleLink link, HubClock clock)
    {
        (_link, _clock) = (link, clock);
        _link.KitChanged += Take;
        _link.PhaseChanged += WatchAgain;
    }

    /// <summary>The kit watched, if any.</summary>
    public KitId? Watched { get; private set; }

    /// <summary>Its newest picture.</summary>
    public KitView? View { get; private set; }

    /// <summary>Why it cannot be watched.</summary>
    public Refusal? Refusal { get; private set; }

    /// <summary>A newer picture came, or the kit watched changed.</summary>
    public event Action? Changed;

    /// <summary>Watches a kit; after every reconnect it is watched again.</summary>
    public async Task Watch(KitId kitId)
    {
        if (Watched != kitId)
        {
            await Leave();
            Watched = kitId;
            Changed?.Invoke();
            if (_link.Phase == LinkPhase.Connected)
            {
                await Fetch(kitId);
            }
        }
    }

    /// <summary>Stops watching.</summary>
    public async Task Leave()
    {
        var left = Watched;
        (Watched, View, Refusal) = (null, null, null);
        if (left is { } kitId && _link.Phase == LinkPhase.Connected)
        {
            try
            {
                await _link.LeaveKit(kitId, CancellationToken.None);
            }
            catch (Exception fault) when (LinkFaults.Covers(fault))
            {
                // The hub forgets a watcher whose link is gone.
            }
        }
    }

    /// <inheritdoc />
    public void Dispose()
    {
        _link.KitChanged -= Take;
        _link.PhaseChanged -= WatchAgain;
    }

    private void WatchAgain()
    {
        if (_link.Phase == LinkPhase.Connected && Watched is { } kitId)
        {
            _ = Fetch(kitId);
        }
    }

    private async Task Fetch(KitId kitId)
    {
        try
        {
            var reply = await _link.WatchKit(kitId, CancellationToken.None);
            if (Watched != kitId)
            {
                return;
            }

            Refusal = reply.Refusal;
            if (reply.View is { } view)
            {
                Take(view);
            }
            else
            {
                Changed?.Invoke();
            }
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            if (View is null && Watched == kitId && _link.Phase == LinkPhase.Connected)
            {
                Refusal = new Refusal(RefusalCodes.StorageFault, "The hub could not show this kit.", "Nothing was changed. Load the page again; if it stays so, tell whoever runs the hub.");
                Changed?.Invoke();
            }
        }
    }

    private void Take(KitView view)
    {
        if (view.KitId != Watched)
        {
            return;
        }

        _clock.Hear(view.HubTime);

        // What is recorded about a kit that was found damaged counts only as far as it is whole: its picture may be older than the one shown.
        if (View is { } shown && view.Integrity.Valid && (view.Version < shown.Version || (view.Version == shown.Version && view.HubTime < shown.HubTime)))
        {
            return;
        }

        View = view;
        Refusal = null;
        Changed?.Invoke();
    }
}
