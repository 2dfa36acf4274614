using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Ceilings;

/// <summary>Stop at the site: silence at once, without the network, and no sound again until the hub says that the clinician has resumed.</summary>
/// <remarks>
/// Kept on the disk, so that neither a reload of the screen nor a restart takes it back. It is released by the hub's scene alone: one that says
/// "not stopped" after one that said "stopped", or a welcome made after the hub had stored this stop. A scene already under way when stop was pressed
/// says "not stopped" too and must not release it. Pressed again while it is pressed, it is reported again, and it is released only when the hub
/// holds that one too: the clinician's answer to the first press may have been given before the second.
/// <para>
/// Pressed where no session goes on, before one or after it, it stops none: nobody is asked to resume, so the hub holding it is enough. When a session has begun
/// meanwhile, it is told to that one as well, and the clinician is asked after all: whoever pressed may have meant it. Thread-safe.
/// </para>
/// </remarks>
internal sealed partial class StopSwitch(OrderLedger ledger, FactWriter facts, KitJournal journal, CurrentStep current, ILogger<StopSwitch> logger)
{
    private readonly Lock _lock = new();
    private bool _pressed = ledger.Stop is not null;
    private bool _held = ledger.Stop is not null;
    private bool _hubKnows;
    private bool _answered;
    private bool _written = ledger.Stop is { Sequence: not null };
    private bool _withdrawn = ledger.Stop is { Withdrawn: true };

    /// <summary>The open session that the last press was told to.</summary>
    private SessionId? _toldTo = ledger.Stop?.ToldTo;

    /// <summary>The hub's last scene; absent before the first.</summary>
    private KitScene? _scene;

    /// <summary>Place of the last press in the journal; 0 while it has none.</summary>
    private long _sequence = ledger.Stop?.Sequence ?? 0;

    /// <summary>It was pressed or released.</summary>
    public event Action? Changed;

    /// <summary>Whether all sound is refused.</summary>
    public bool IsPressed => Volatile.Read(ref _pressed);

    /// <summary>Whether consent was taken back with it, so that everything is refused, not only sound.</summary>
    public bool IsWithdrawn => Volatile.Read(ref _withdrawn);

    /// <summary>What was pressed, as it is told.</summary>
    private KitReport Report => _withdrawn ? new ConsentTakenBackHere() : new StopPressed();

    private bool HubHoldsIt => Interlocked.Read(ref _sequence) is > 0 and var place && place <= journal.AcknowledgedSequence;

    /// <summary>Someone at the site pressed stop.</summary>
    public void Press(SessionId? sessionId) => Press(sessionId, StepConclusion.Stopped, new StopPressed());

    /// <summary>Someone at the site pressed "I no longer agree": as a stop, and nothing of the session is begun until the clinician has resumed with new consent.</summary>
    public void TakeConsentBack(SessionId? sessionId)
    {
        Volatile.Write(ref _withdrawn, true);
        Press(sessionId, StepConclusion.ConsentTakenBack, new ConsentTakenBackHere());
    }

    private void Press(SessionId? sessionId, StepConclusion conclusion, KitReport report)
    {
        Volatile.Write(ref _pressed, true);
        current.Break(conclusion);
        lock (_lock)
        {
            // a release may have come between
            Volatile.Write(ref _pressed, true);
            Volatile.Write(ref _withdrawn, _withdrawn || report is ConsentTakenBackHere);
            if (!_held)
            {
                Log.Pressed(logger);
                (_held, _hubKnows, _answered, _written) = (true, false, false, false);
                Interlocked.Exchange(ref _sequence, 0);
                TryMark(new StopMark(null, _withdrawn));
                if (journal.IsOpen)
                {
                    WriteInsideLock(sessionId, report);
                }
            }
            else if (journal.IsOpen && (HubHoldsIt || report is ConsentTakenBackHere))
            {
                // a stop that the hub does not hold yet speaks for a second one too, but not for consent taken back
                WriteInsideLock(sessionId, report);
            }
            else if (report is ConsentTakenBackHere)
            {
                // written as soon as the hub has given the journal's key
                _written = false;
                Interlocked.Exchange(ref _sequence, 0);
                TryMark(new StopMark(null, true));
            }
        }

        Changed?.Invoke();
    }

    /// <summary>The hub's answer to hello: the journal is open now, and the scene was made after everything up to <paramref name="acknowledged"/> was stored.</summary>
    public void TakeWelcome(KitScene? scene, long acknowledged)
    {
        lock (_lock)
        {
            _scene = scene ?? _scene;
            if (!_held)
            {
                return;
            }

            if (!_written)
            {
                WriteInsideLock(scene?.SessionId, Report);
            }
            else if (Interlocked.Read(ref _sequence) is > 0 and var place && acknowledged >= place && scene is { Stopped: false })
            {
                ReleaseInsideLock();
            }
        }

        TakeScene(scene);
    }

    /// <summary>The journal has its key outside of a welcome, after a wipe: a stop that was pressed while it was closed is written now.</summary>
    public void TakeKey()
    {
        lock (_lock)
        {
            if (_held && !_written)
            {
                WriteInsideLock(_scene?.SessionId, Report);
            }
        }
    }

    /// <summary>A scene came.</summary>
    public void TakeScene(KitScene? scene)
    {
        lock (_lock)
        {
            _scene = scene ?? _scene;
            if (_held && scene is not null)
            {
                if (scene.Stopped)
                {
                    (_hubKnows, _answered) = (true, false);
                }
                else if (_hubKnows)
                {
                    _answered = true;
                    ReleaseWhenHeldInsideLock();
                }
                else
                {
                    SettleUnansweredInsideLock();
                }
            }
        }

        Changed?.Invoke();
    }

    /// <summary>The hub holds more of the journal.</summary>
    public void TakeAcknowledgement()
    {
        lock (_lock)
        {
            if (!_held || !(ReleaseWhenHeldInsideLock() || SettleUnansweredInsideLock()))
            {
                return;
            }
        }

        Changed?.Invoke();
    }

    /// <summary>A new journal was begun: a stop that is pressed is written into it anew, for nobody can say whether the hub holds the old one.</summary>
    public void TakeNewJournal()
    {
        lock (_lock)
        {
            if (_held)
            {
                (_hubKnows, _answered, _written) = (false, false, false);
                Interlocked.Exchange(ref _sequence, 0);
                TryMark(new StopMark(null, _withdrawn));
            }
        }
    }

    private void WriteInsideLock(SessionId? sessionId, KitReport report)
    {
        _written = true;
        Interlocked.Exchange(ref _sequence, 0);
        _toldTo = sessionId is not null && sessionId == _scene?.OpenSession() ? sessionId : null;
        var toldTo = _toldTo;
        facts.WriteOrOwe(sessionId, report, () =>
        {
            Interlocked.Exchange(ref _sequence, journal.LastSequence);
            TryMark(new StopMark(journal.LastSequence, _withdrawn) { ToldTo = toldTo });
        });
    }

    /// <summary>The hub holds the stop, and has said of no session that it is stopped.</summary>
    /// <returns>Whether it was released.</returns>
    private bool SettleUnansweredInsideLock()
    {
        if (_hubKnows || _scene is null || !HubHoldsIt)
        {
            return false;
        }

        if (_scene.OpenSession() is not { } open)
        {
            ReleaseInsideLock();
            return true;
        }

        if (open != _toldTo)
        {
            WriteInsideLock(open, Report);
        }

        // a session it was told to is stopped by it, and the scene that says so is on its way
        return false;
    }

    private bool ReleaseWhenHeldInsideLock()
    {
        if (!_answered || !HubHoldsIt)
        {
            return false;
        }

        ReleaseInsideLock();
        return true;
    }

    private void ReleaseInsideLock()
    {
        Log.Released(logger);
        TryMark(null);
        (_held, _hubKnows, _answered, _toldTo) = (false, false, false, null);
        Volatile.Write(ref _withdrawn, false);
        Volatile.Write(ref _pressed, false);
    }

    private void TryMark(StopMark? mark)
    {
        try
        {
            ledger.Mark(mark);
        }
        catch (StorageFaultException fault)
        {
            // in memory it holds all the same; steps are refused anyway while the disk takes nothing
            Log.NotKept(logger, fault);
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2301, Level = LogLevel.Warning, Message = "Stop was pressed at the site.")]
        public static partial void Pressed(ILogger logger);

        [LoggerMessage(EventId = 2302, Level = LogLevel.Information, Message = "The clinician resumed after the stop.")]
        public static partial void Released(ILogger logger);

        [LoggerMessage(EventId = 2303, Level = LogLevel.Error, Message = "The disk did not take the mark of the stop.")]
        public static partial void NotKept(ILogger logger, Exception fault);
    }
}
