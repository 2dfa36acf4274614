using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>Writes facts with the kit's time on them. A fact the disk refuses is owed: it keeps its place in line until the disk takes it, and nothing newer passes it.</summary>
/// <remarks>Thread-safe. Owed facts live in memory only; they are never sent before they are durable.</remarks>
internal sealed partial class FactWriter(KitJournal journal, Func<double> kitMs, ILogger<FactWriter> logger)
{
    private readonly Lock _lock = new();
    private readonly Queue<Owed> _owed = new();

    /// <summary>Whether facts wait for the disk or for the journal's key.</summary>
    public bool Owes
    {
        get
        {
            lock (_lock)
            {
                return _owed.Count > 0;
            }
        }
    }

    /// <summary>Writes a fact; when this returns it is durable.</summary>
    /// <exception cref="StorageFaultException">It is not; nothing is owed either.</exception>
    public void Write(SessionId? sessionId, KitReport report, Action? beforeSending = null)
    {
        lock (_lock)
        {
            SettleInsideLock();
            journal.Append(sessionId, kitMs(), report, beforeSending);
        }
    }

    /// <summary>Writes a fact now, or as soon as disk and key allow. Returns whether it is durable already.</summary>
    public bool WriteOrOwe(SessionId? sessionId, KitReport report, Action? beforeSending = null)
    {
        lock (_lock)
        {
            _owed.Enqueue(new Owed(sessionId, kitMs(), report, beforeSending));
            if (TrySettleInsideLock())
            {
                return true;
            }

            // whoever waits for something to send settles what is owed; without this it would wait for the next fact
            journal.Wake();
            return false;
        }
    }

    /// <summary>Owes facts again that a journal laid aside had not handed over, before anything newer.</summary>
    public void OweAgain(IReadOnlyList<JournaledReport> unsent)
    {
        lock (_lock)
        {
            Owed[] newer = [.. _owed];
            _owed.Clear();
            foreach (var owed in unsent.Select(entry => new Owed(entry.SessionId, entry.KitMs, entry.Report, null)).Concat(newer))
            {
                _owed.Enqueue(owed);
            }
        }
    }

    /// <summary>Tries to write what is owed. Returns whether nothing is owed any more.</summary>
    public bool TrySettle()
    {
        lock (_lock)
        {
            return TrySettleInsideLock();
        }
    }

    private bool TrySettleInsideLock()
    {
        try
        {
            SettleInsideLock();
            return _owed.Count == 0;
        }
        catch (StorageFaultException fault)
        {
            Log.Owing(logger, fault, _owed.Count);
            return false;
        }
    }

    private void SettleInsideLock()
    {
        while (journal.IsOpen && _owed.TryPeek(out var owed))
        {
            journal.Append(owed.SessionId, owed.KitMs, owed.Report, owed.BeforeSending);
            _owed.Dequeue();
        }
    }

    private sealed record Owed(SessionId? SessionId, double KitMs, KitReport Report, Action? BeforeSending);

    private static partial class Log
    {
        [LoggerMessage(EventId = 2111, Level = LogLevel.Error, Message = "The disk took no fact; {Count} wait.")]
        public static partial void Owing(ILogger logger, Exception fault, int count);
    }
}
