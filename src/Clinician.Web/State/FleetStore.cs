using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>The newest picture of the fleet, kept for the whole tab. Holds no truth.</summary>
public sealed class FleetStore : IDisposable
{
    private readonly IConsoleLink _link;
    private readonly HubClock _clock;
    private int _watchers;

    /// <summary>Makes an empty store on a link.</summary>
    public FleetStore(IConsoleLink link, HubClock clock)
    {
        (_link, _clock) = (link, clock);
        _link.FleetChanged += Take;
        _link.PhaseChanged += WatchAgain;
    }

    /// <summary>The newest picture; absent until it has come.</summary>
    public FleetView? View { get; private set; }

    /// <summary>Why it cannot be watched.</summary>
    public Refusal? Refusal { get; private set; }

    /// <summary>A newer picture came.</summary>
    public event Action? Changed;

    /// <summary>Begins to watch; after every reconnect it watches again by itself.</summary>
    public Task Watch()
    {
        _watchers++;
        return _link.Phase == LinkPhase.Connected ? Fetch() : Task.CompletedTask;
    }

    /// <summary>Stops watching once nobody here watches any more.</summary>
    public async Task Leave()
    {
        _watchers = Math.Max(0, _watchers - 1);
        if (_watchers == 0 && _link.Phase == LinkPhase.Connected)
        {
            try
            {
                await _link.LeaveFleet(CancellationToken.None);
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
        _link.FleetChanged -= Take;
        _link.PhaseChanged -= WatchAgain;
    }

    private void WatchAgain()
    {
        if (_watchers > 0 && _link.Phase == LinkPhase.Connected)
        {
            _ = Fetch();
        }
    }

    private async Task Fetch()
    {
        try
        {
            var reply = await _link.WatchFleet(CancellationToken.None);
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
            if (View is null && _link.Phase == LinkPhase.Connected)
            {
                Refusal = new Refusal(RefusalCodes.StorageFault, "The hub could not show the loans.", "Nothing was changed. Load the page again; if it stays so, tell whoever runs the hub.");
                Changed?.Invoke();
            }
        }
    }

    private void Take(FleetView view)
    {
        _clock.Hear(view.HubTime);

        // Facts that were found damaged count only as far as they are whole: their picture may be older than the one shown.
        if (View is { } shown && view.Integrity.Valid && (view.Version < shown.Version || (view.Version == shown.Version && view.HubTime < shown.HubTime)))
        {
            return;
        }

        View = view;
        Refusal = null;
        Changed?.Invoke();
    }
}
