using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Tells the hub that whoever commands the session shown, or has lent a task of it, is still here. A console that stays silent loses control, and what it lent ends.</summary>
/// <remarks>Browsers slow the timers of tabs in the background down; whatever the hub tells wakes the tab, so that is taken as a beat as well.</remarks>
public sealed class PresenceKeeper : IDisposable
{
    private static readonly TimeSpan _every = TimeSpan.FromMilliseconds(Protocol.ControlRenewalMs);

    private readonly IConsoleLink _link;
    private readonly SessionStore _session;
    private readonly Account _account;
    private readonly TimeProvider _time;
    private readonly ITimer _timer;
    private long _last;

    /// <summary>Makes one that does nothing yet.</summary>
    public PresenceKeeper(IConsoleLink link, SessionStore session, Account account, TimeProvider time)
    {
        (_link, _session, _account, _time) = (link, session, account, time);
        _timer = time.CreateTimer(_ => Beat(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
    }

    /// <summary>Begins. A second call does nothing.</summary>
    public void Start()
    {
        if (_last == 0)
        {
            _last = _time.GetTimestamp();
            _timer.Change(_every, _every);
            _session.RoomChanged += BeatWhenDue;
            _session.Changed += BeatWhenDue;
        }
    }

    /// <inheritdoc />
    public void Dispose()
    {
        _session.RoomChanged -= BeatWhenDue;
        _session.Changed -= BeatWhenDue;
        _timer.Dispose();
    }

    private void BeatWhenDue()
    {
        if (_time.GetElapsedTime(_last) >= _every)
        {
            Beat();
        }
    }

    private void Beat()
    {
        if (_session.View is { } view && _account.Me?.Id is { } me && (view.Control.HolderId == me || view.Control.Loan?.ById == me) && _link.Phase == LinkPhase.Connected)
        {
            _last = _time.GetTimestamp();
            _ = Say(view.SessionId);
        }
    }

    private async Task Say(SessionId sessionId)
    {
        try
        {
            await _link.RenewControl(sessionId, CancellationToken.None);
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            // The link broke on the way; once it is back the next beat says it.
        }
    }
}
