using TeleHearing.Contracts;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>Where rows become durable: below it are the tables and the disk, above it what the rows mean. Any thread.</summary>
/// <remarks>Whoever appends has sealed and chained the rows and folded what they come to; the log alone says whether they fit to what is stored.</remarks>
internal interface IEventLog
{
    /// <summary>Everything that is stored of a session.</summary>
    /// <returns>Null when there is no such session.</returns>
    Task<StoredSession?> Read(SessionId sessionId, CancellationToken cancellationToken);

    /// <summary>Whether a session is still as it was read or appended, and nobody but this log was seen to write since. Who writes in this moment may not be seen yet: whoever adds to the session finds out.</summary>
    /// <param name="sessionId">The session.</param>
    /// <param name="mark">What was read.</param>
    /// <param name="cancellationToken">Cancels.</param>
    ValueTask<bool> IsStill(SessionId sessionId, SessionMark mark, CancellationToken cancellationToken);

    /// <summary>What was written so far. As long as it stays the same, what was read is what is stored, but for events of sessions, receipts, cursors and the audit, which this log itself appends.</summary>
    /// <returns>Null when nobody can say: the database does not tell, nothing was written yet, or this log waits for others to write.</returns>
    ValueTask<StoreMark?> Look(CancellationToken cancellationToken);

    /// <summary>Says that this process has written something about kits beside its log: what was read before is read again. Another process is seen by itself, yet only once this log has looked, which a caller of this process must not have to wait for.</summary>
    void Wrote();

    /// <summary>The receipt of a command as it is stored; null when there is none.</summary>
    Task<StoredReceipt?> FindReceipt(CommandId commandId, CancellationToken cancellationToken);

    /// <summary>How far a kit journal is held; 0 when nothing of it is.</summary>
    Task<long> FindCursor(JournalId journalId, CancellationToken cancellationToken);

    /// <summary>The last event of a session; null when it has none.</summary>
    Task<ChainEnd?> FindEnd(SessionId sessionId, CancellationToken cancellationToken);

    /// <summary>The last entry of the audit, whoever wrote it; null when there is none.</summary>
    Task<ChainEnd?> FindAuditEnd(CancellationToken cancellationToken);

    /// <summary>How many facts a kit has; null when there is no such kit.</summary>
    Task<long?> FindFactVersion(KitId kitId, CancellationToken cancellationToken);

    /// <summary>Which sessions have events behind a place in the log, each with the place of its last one; asked every second, also when nothing happens.</summary>
    Task<IReadOnlyList<ChangedSession>> FindChanged(long position, CancellationToken cancellationToken);

    /// <summary>Makes rows durable, all of them or none.</summary>
    /// <returns>What it came to, once that is durable.</returns>
    /// <exception cref="System.Data.Common.DbException">The disk failed; nothing was changed.</exception>
    Task<AppendOutcome> Append(AppendRows rows, CancellationToken cancellationToken);
}

/// <summary>What is stored of a session.</summary>
/// <param name="Plan">What is planned, and how many events there are.</param>
/// <param name="Rows">Its events in order.</param>
/// <param name="Seen">Number of the last change by somebody else that these rows already show.</param>
internal sealed record StoredSession(SessionEntity Plan, IReadOnlyList<SessionEventRow> Rows, long Seen);

/// <summary>The last row of a chain as it is stored.</summary>
/// <param name="Sequence">Its number.</param>
/// <param name="Hash">Its hash.</param>
internal readonly record struct ChainEnd(long Sequence, byte[] Hash);

/// <summary>A session that has new events.</summary>
/// <param name="SessionId">The session.</param>
/// <param name="Last">Place in the log of its last event.</param>
internal readonly record struct ChangedSession(SessionId SessionId, long Last);

/// <summary>By what is seen whether anything was written.</summary>
/// <param name="Others">Number of the last change by another connection: another process, or this one beside its log.</param>
/// <param name="Beside">Number of the last change by this process to anything but events, receipts, cursors and the audit: facts of kits and of the fleet, new sessions and kits.</param>
internal readonly record struct StoreMark(long Others, long Beside);

/// <summary>By what a session is known again.</summary>
/// <param name="Seen">Number of the last change by somebody else that was seen when its chain was last checked whole; <see cref="Unseen"/> when nobody knows, <see cref="Damaged"/> when it is known not to be whole.</param>
/// <param name="Version">Its last event.</param>
/// <param name="HeadHash">Hash of that.</param>
internal readonly record struct SessionMark(long Seen, long Version, byte[] HeadHash)
{
    /// <summary>Its chain is checked before anything is added to it.</summary>
    public const long Unseen = 0;

    /// <summary>It can be erased and nothing else.</summary>
    public const long Damaged = -1;
}

/// <summary>A receipt as it is stored.</summary>
/// <param name="SessionId">Session the command was asked of; empty for one about a kit.</param>
/// <param name="Fingerprint">Hash of caller and command.</param>
/// <param name="SealedReceipt">The receipt, sealed.</param>
internal sealed record StoredReceipt(Guid SessionId, byte[] Fingerprint, string? SealedReceipt);
