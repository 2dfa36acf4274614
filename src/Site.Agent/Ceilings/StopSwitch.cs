using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Ceilings;

/// <summary>Stop at the site: silence at once, without the network, and no sound again until the hub says that the clinician has resumed.</summary>
/// <remarks>
/// Kept on the disk, so that neither a reload of the screen nor a restart takes it back. It is released by the hub's scene alone: one that says
/// "not stopped" after one that said "stopped", or a welcome made after the hub had stored this stop. A scene already under way when stop was pressed
/// says "not stopped" too and must not release it. Thread-safe.
/// </remarks>
internal sealed partial class StopSwitch(OrderLedger ledger, FactWriter facts, KitJournal journal, CurrentStep current, ILogger<StopSwitch> logger)
{
    private readonly Lock _lock = new();
    private bool _pressed = ledger.Stop is not null;
    private bool _hubKnows;
    private bool _written = ledger.Stop is { Sequence: not null };

    /// <summary>It was pressed or released.</summary>
    public event Action? Changed;

    /// <summary>Whether all sound is refused.</summary>
    public bool IsPressed => Volatile.Read(ref _pressed);

    /// <summary>Someone at the site pressed stop.</summary>
    public void Press(SessionId? sessionId)
    {
        var first = !Interlocked.Exchange(ref _pressed, true);
        current.Break(StepConclusion.Stopped);
        if (first)
        {
            Log.Pressed(logger);
            lock (_lock)
            {
                (_hubKnows, _written) = (false, false);
                TryMark(new StopMark(null));
                if (journal.IsOpen)
                {
                    WriteInsideLock(sessionId);
                }
            }
        }

        Changed?.Invoke();
    }

    /// <summary>The hub's answer to hello: the journal is open now, and the scene was made after everything up to <paramref name="acknowledged"/> was stored.</summary>
    public void TakeWelcome(KitScene? scene, long acknowledged)
    {
        lock (_lock)
        {
            if (!IsPressed)
            {
                return;
            }

            if (!_written)
            {
                WriteInsideLock(scene?.SessionId);
            }
            else if (acknowledged >= ledger.Stop?.Sequence && scene is { Stopped: false })
            {
                ReleaseInsideLock();
            }
        }

        TakeScene(scene);
    }

    /// <summary>A scene came.</summary>
    public void TakeScene(KitScene? scene)
    {
        lock (_lock)
        {
            if (IsPressed && scene is not null)
            {
                if (scene.Stopped)
                {
                    _hubKnows = true;
                }
                else if (_hubKnows || (scene.SessionId is null && ledger.Stop?.Sequence <= journal.AcknowledgedSequence))
                {
                    // a stop outside any session leaves nothing for a clinician to resume: the hub holding it is enough
                    ReleaseInsideLock();
                }
            }
        }

        Changed?.Invoke();
    }

    private void WriteInsideLock(SessionId? sessionId)
    {
        _written = true;
        facts.WriteOrOwe(sessionId, new StopPressed(), () => TryMark(new StopMark(journal.LastSequence)));
    }

    private void ReleaseInsideLock()
    {
        Log.Released(logger);
        TryMark(null);
        _hubKnows = false;
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
