using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.Words;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>The newest picture of the one session this tab watches, and its two lamps. Holds no truth: it can be thrown away and fetched again at any moment.</summary>
public sealed class SessionStore : IDisposable
{
    // A press can be shorter than a glance.
    private static readonly TimeSpan _pressShownFor = TimeSpan.FromMilliseconds(700);

    // Readings come several times a second; after this the last one no longer says what the room is like.
    private static readonly TimeSpan _roomHoldsFor = TimeSpan.FromSeconds(3);

    private readonly IConsoleLink _link;
    private readonly HubClock _clock;
    private readonly ITimer _release;
    private readonly ITimer _roomFades;
    private bool _asTask;

    /// <summary>Makes an empty store on a link.</summary>
    public SessionStore(IConsoleLink link, HubClock clock, TimeProvider time)
    {
        (_link, _clock) = (link, clock);
        _release = time.CreateTimer(_ => ReleaseButton(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        _roomFades = time.CreateTimer(_ => FadeRoom(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        _link.SessionChanged += Take;
        _link.Signalled += Show;
        _link.PhaseChanged += PhaseChanged;
    }

    /// <summary>The session watched, if any.</summary>
    public SessionId? Watched { get; private set; }

    /// <summary>Its newest picture.</summary>
    public SessionView? View { get; private set; }

    /// <summary>Why it cannot be watched.</summary>
    public Refusal? Refusal { get; private set; }

    /// <summary>The response button is down, or was a moment ago.</summary>
    public bool ButtonDown { get; private set; }

    /// <summary>The kit says that sound is on.</summary>
    public bool SoundOn { get; private set; }

    /// <summary>The room as it is heard live.</summary>
    public RoomReadings Room { get; } = new();

    /// <summary>What changed last, as a sentence for a screen reader.</summary>
    public string Announcement { get; private set; } = string.Empty;

    /// <summary>A newer picture came, or the session watched changed.</summary>
    public event Action? Changed;

    /// <summary>A lamp changed.</summary>
    public event Action? LampChanged;

    /// <summary>The room was heard anew, or no longer is.</summary>
    public event Action? RoomChanged;

    /// <summary>Watches a session; after every reconnect it is watched again.</summary>
    public Task Watch(SessionId sessionId) => Watch(sessionId, asTask: false);

    /// <summary>For an assistant: watches the session of which a task is lent to them.</summary>
    public Task WatchTask(SessionId sessionId) => Watch(sessionId, asTask: true);

    private async Task Watch(SessionId sessionId, bool asTask)
    {
        if (Watched == sessionId && _asTask == asTask)
        {
            return;
        }

        await Leave();
        _asTask = asTask;
        Watched = sessionId;
        Changed?.Invoke();
        if (_link.Phase == LinkPhase.Connected)
        {
            await Fetch(sessionId);
        }
    }

    /// <summary>Fetches the picture of the session watched once more, and with it the hub's time.</summary>
    public Task FetchAnew() => Watched is { } sessionId && _link.Phase == LinkPhase.Connected ? Fetch(sessionId) : Task.CompletedTask;

    /// <summary>Stops watching.</summary>
    public async Task Leave()
    {
        var left = Watched;
        (Watched, View, Refusal, Announcement) = (null, null, null, string.Empty);
        Darken();
        if (left is { } sessionId && _link.Phase == LinkPhase.Connected)
        {
            try
            {
                await _link.LeaveSession(sessionId, CancellationToken.None);
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
        _link.SessionChanged -= Take;
        _link.Signalled -= Show;
        _link.PhaseChanged -= PhaseChanged;
        _release.Dispose();
        _roomFades.Dispose();
    }

    private void PhaseChanged()
    {
        Darken();
        if (_link.Phase == LinkPhase.Connected && Watched is { } sessionId)
        {
            _ = Fetch(sessionId);
        }
    }

    private async Task Fetch(SessionId sessionId)
    {
        try
        {
            var reply = _asTask ? await _link.WatchTask(sessionId, CancellationToken.None) : await _link.WatchSession(sessionId, CancellationToken.None);
            if (Watched != sessionId)
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
            if (View is null && Watched == sessionId && _link.Phase == LinkPhase.Connected)
            {
                Refusal = new Refusal(RefusalCodes.StorageFault, "The hub could not show this session.", "Nothing was changed. Load the page again; if it stays so, tell whoever runs the hub.");
                Changed?.Invoke();
            }
        }
    }

    private void Take(SessionView view)
    {
        if (view.SessionId != Watched)
        {
            return;
        }

        _clock.Hear(view.HubTime);

        // A log found damaged counts only as far as it is whole: its picture may be older than the one shown and still is the truth.
        if (View is { } shown && view.Integrity.Valid && (view.Version < shown.Version || (view.Version == shown.Version && view.HubTime < shown.HubTime)))
        {
            return;
        }

        if (View is { } before && Announcements.Between(before, view) is { Length: > 0 } news)
        {
            Announcement = news;
        }

        View = view;
        Refusal = null;
        if (view.Step is null || !view.Step.Running())
        {
            // The lamp's own signal may have been lost on the way.
            SoundOn = false;
        }

        Changed?.Invoke();
    }

    private void Show(LiveSignal signal)
    {
        if (signal.SessionId != Watched)
        {
            return;
        }

        switch (signal.Kind)
        {
            case LiveSignalKind.SoundOn:
                SoundOn = true;
                break;
            case LiveSignalKind.SoundOff:
                SoundOn = false;
                break;
            case LiveSignalKind.ButtonDown:
                ButtonDown = true;
                _release.Change(Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
                break;
            case LiveSignalKind.ButtonUp:
                _release.Change(_pressShownFor, Timeout.InfiniteTimeSpan);
                break;
            case LiveSignalKind.RoomHeard when signal.Room is { } room:
                Room.Add(room);
                _roomFades.Change(_roomHoldsFor, Timeout.InfiniteTimeSpan);
                RoomChanged?.Invoke();
                return;
            default:
                return;
        }

        LampChanged?.Invoke();
    }

    private void FadeRoom()
    {
        Room.Clear();
        RoomChanged?.Invoke();
    }

    private void ReleaseButton()
    {
        ButtonDown = false;
        LampChanged?.Invoke();
    }

    private void Darken()
    {
        (ButtonDown, SoundOn) = (false, false);
        LampChanged?.Invoke();
        FadeRoom();
    }
}
