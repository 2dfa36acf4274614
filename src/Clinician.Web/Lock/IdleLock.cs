using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Lock;

/// <summary>Covers the console when nobody has used it for a while, and says so before. Sessions go on: the hub and the kit hold them, not this page.</summary>
public sealed class IdleLock(Account account, ProofDesk desk, TimeProvider time) : IDisposable
{
    /// <summary>How long before the cover the warning shows. WCAG 2.2, 2.2.1 asks for at least 20 s in which one simple action is enough.</summary>
    public static readonly TimeSpan WarnsBefore = TimeSpan.FromSeconds(60);

    private static readonly TimeSpan _look = TimeSpan.FromSeconds(1);

    // Other tabs of the same sign-in are covered with this one: the hub must know that somebody is at one of them.
    private static readonly TimeSpan _report = TimeSpan.FromSeconds(15);
    private static readonly TimeSpan _hubAnswersWithin = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan _askWhileCovered = TimeSpan.FromSeconds(5);

    // Covered at another tab, or by the hub: this one must not stay open.
    private static readonly TimeSpan _askWhileOpen = TimeSpan.FromSeconds(10);

    private ITimer? _timer;
    private DateTimeOffset _used;
    private DateTimeOffset _told;
    private DateTimeOffset _asked;
    private bool _hubKnows;
    private bool _busy;
    private bool _asking;

    /// <summary>The cover or the warning came or went, or what the cover says changed.</summary>
    public event Action? Changed;

    /// <summary>Whether the console is covered.</summary>
    public bool Covered { get; private set; }

    /// <summary>Whether the warning shows.</summary>
    public bool Warns { get; private set; }

    /// <summary>Whether a session that this person controls is running.</summary>
    public bool SessionRunning { get; private set; }

    /// <summary>Minutes without a key or the pointer after which the console covers itself.</summary>
    public double Minutes => Limit.TotalMinutes;

    private TimeSpan Limit => TimeSpan.FromSeconds(account.Me?.Lock?.IdleSeconds ?? 0);

    /// <summary>Begins to watch, for a signed-in person.</summary>
    public void Begin()
    {
        if (account.Me?.Lock is { } known && _timer is null)
        {
            _used = _told = _asked = time.GetUtcNow();
            Take(known);
            _timer = time.CreateTimer(_ => _ = Look(), null, _look, _look);
        }
    }

    /// <summary>A key, the pointer or the wheel: somebody is there.</summary>
    public void SomebodyIsThere()
    {
        if (Covered)
        {
            return;
        }

        _used = time.GetUtcNow();
        if (Warns)
        {
            Warns = false;
            Changed?.Invoke();
        }
    }

    /// <summary>Covers the console at once.</summary>
    public async Task Cover()
    {
        CoverHere(null);
        await TellCovered();
    }

    /// <summary>The hub took a proof.</summary>
    public void Uncover()
    {
        Covered = false;
        _used = _told = time.GetUtcNow();
        Changed?.Invoke();
    }

    public void Dispose() => _timer?.Dispose();

    private async Task Look()
    {
        if (_busy || account.State != SignInState.SignedIn)
        {
            return;
        }

        _busy = true;
        try
        {
            await (Covered ? LookCovered() : LookOpen());
        }
        finally
        {
            _busy = false;
        }
    }

    private async Task LookOpen()
    {
        // By the clock on the wall: a machine that slept was left alone as well.
        var now = time.GetUtcNow();
        var idle = now - _used;
        if (idle >= Limit)
        {
            await CoverUnlessUsedElsewhere();
            return;
        }

        if (_used > _told && now - _told >= _report)
        {
            _told = _asked = now;
            CoverWhenTold(await desk.Report(new LockReport(Left: false, ByHand: false)));
        }
        else if (now - _asked >= _askWhileOpen && !_asking)
        {
            // Not waited for: a hub that does not answer must not keep this page from covering itself.
            _asked = now;
            _ = AskOpen();
        }

        if (Covered)
        {
            return;
        }

        if (Warns != (idle >= Limit - Sooner(WarnsBefore)))
        {
            Warns = !Warns;
            Changed?.Invoke();
        }
    }

    private async Task AskOpen()
    {
        _asking = true;
        try
        {
            await account.Ask(CancellationToken.None);
        }
        finally
        {
            _asking = false;
        }

        if (account.State == SignInState.SignedOut)
        {
            Changed?.Invoke();
        }
        else
        {
            CoverWhenTold(account.Me?.Lock);
        }
    }

    /// <summary>The hub says that this sign-in is covered. That it is open uncovers nothing here.</summary>
    private void CoverWhenTold(LockView? answer)
    {
        if (answer is { Locked: true } && !Covered)
        {
            CoverHere(answer);
        }
    }

    private async Task LookCovered()
    {
        if (!_hubKnows)
        {
            await TellCovered();
            return;
        }

        if (time.GetUtcNow() - _asked < _askWhileCovered)
        {
            return;
        }

        _asked = time.GetUtcNow();
        await account.Ask(CancellationToken.None);
        if (account.State == SignInState.SignedOut)
        {
            Covered = false;
            Changed?.Invoke();
        }
        else if (account.Me?.Lock is { } known)
        {
            Take(known);
        }
    }

    private async Task CoverUnlessUsedElsewhere()
    {
        LockView? answer = null;
        try
        {
            answer = await desk.Report(new LockReport(Left: true, ByHand: false)).WaitAsync(_hubAnswersWithin, time);
        }
        catch (TimeoutException)
        {
            // Covered without its word.
        }

        if (answer is { Locked: false })
        {
            _used = time.GetUtcNow() - TimeSpan.FromSeconds(answer.IdleForSeconds);
            Warns = false;
            Changed?.Invoke();
            return;
        }

        CoverHere(answer);
    }

    private async Task TellCovered()
    {
        if (await desk.Report(new LockReport(Left: true, ByHand: true)) is { } answer)
        {
            CoverHere(answer);
        }
    }

    /// <summary>Covers this page, whether or not the hub has answered; it is told again until it does.</summary>
    private void CoverHere(LockView? answer)
    {
        _hubKnows = answer is { Locked: true };
        _asked = time.GetUtcNow();
        (Covered, Warns, SessionRunning) = (true, false, answer?.SessionRunning ?? SessionRunning);
        Changed?.Invoke();
    }

    private void Take(LockView known)
    {
        var before = (Covered, SessionRunning);
        (Covered, SessionRunning) = (known.Locked, known.SessionRunning);
        _hubKnows = known.Locked;
        if (before.Covered && !known.Locked)
        {
            // Uncovered at another tab.
            _used = _told = time.GetUtcNow();
        }

        if (before != (Covered, SessionRunning))
        {
            Changed?.Invoke();
        }
    }

    private TimeSpan Sooner(TimeSpan span) => span < Limit / 2 ? span : Limit / 2;
}
