namespace TeleHearing.Hub.Storage.Log;

/// <summary>The prepared statements of the connection that writes.</summary>
internal sealed class LogStatements : IAsyncDisposable
{
    private readonly LogStatement _head;
    private readonly LogStatement _addEvent;
    private readonly LogStatement _moveSession;
    private readonly LogStatement _listSession;
    private readonly LogStatement _addReceipt;
    private readonly LogStatement _moveCursor;
    private readonly LogStatement _addCursor;
    private readonly LogStatement[] _all;

    public LogStatements(LogConnection connection, LogDialect dialect)
    {
        _head = connection.Prepare(LogSql.Head, "id");
        _addEvent = connection.Prepare(LogSql.AddEvent, "id", "sequence", "kind", "shape", "payload", "time", "previous", "hash");
        _moveSession = connection.Prepare(LogSql.MoveSession, "version", "time", "id");
        _listSession = connection.Prepare(LogSql.ListSession, "stage", "kit", "controller", "handoff", "version", "time", "id");
        _addReceipt = connection.Prepare(LogSql.AddReceipt, "id", "session", "fingerprint", "receipt");
        _moveCursor = connection.Prepare(LogSql.MoveCursor, "sequence", "id");
        _addCursor = connection.Prepare(LogSql.AddCursor, "id", "kit", "sequence");
        AuditHead = connection.Prepare(LogSql.AuditHead);
        AddAudit = connection.Prepare(LogSql.AddAudit, "sequence", "kind", "shape", "payload", "time", "previous", "hash");
        MoveAudit = connection.Prepare(LogSql.MoveAudit, "entries");
        TakeLog = dialect.Take(StoreTurn.Log) is { } log ? connection.Prepare(log) : null;
        TakeAudit = dialect.Take(StoreTurn.Audit) is { } audit ? connection.Prepare(audit) : null;
        _all = [.. new[] { _head, _addEvent, _moveSession, _listSession, _addReceipt, _moveCursor, _addCursor, AuditHead, AddAudit, MoveAudit, TakeLog, TakeAudit }.OfType<LogStatement>()];
    }

    public LogStatement AuditHead { get; }

    public LogStatement AddAudit { get; }

    public LogStatement MoveAudit { get; }

    /// <summary>Waits for its turn among several hubs; absent where the transaction itself says so.</summary>
    public LogStatement? TakeLog { get; }

    /// <summary>The same for the audit.</summary>
    public LogStatement? TakeAudit { get; }

    /// <summary>The last event of a session; 0 and nothing when it has none.</summary>
    public async Task<(long Version, byte[]? Hash)> Head(Guid sessionId) =>
        await _head.First(sessionId) is [long version, byte[] hash] ? (version, hash) : (0, null);

    /// <summary>Adds events and moves on what lists show.</summary>
    public async Task Add(SessionRows session)
    {
        foreach (var row in session.Events)
        {
            await _addEvent.Run(row.SessionId, row.Sequence, row.Kind, row.Shape, row.Payload, row.TimeTicks, row.PreviousHash, row.Hash);
        }

        var last = session.Events[^1];
        if (session.Listed is { } listed)
        {
            await _listSession.Run(listed.Stage, listed.KitId, listed.SealedController, listed.HandoffOpen, last.Sequence, last.TimeTicks, session.SessionId);
        }
        else
        {
            await _moveSession.Run(last.Sequence, last.TimeTicks, session.SessionId);
        }
    }

    /// <returns>0 when it is there already.</returns>
    public Task<int> Add(CommandReceiptRow receipt) => _addReceipt.Run(receipt.CommandId, receipt.SessionId, receipt.Fingerprint, receipt.SealedReceipt);

    /// <returns>0 when it is further on already.</returns>
    public async Task<int> Move(KitCursorRow cursor) =>
        await _moveCursor.Run(cursor.AcknowledgedSequence, cursor.JournalId) is > 0 and var moved ? moved : await _addCursor.Run(cursor.JournalId, cursor.KitId, cursor.AcknowledgedSequence);

    public async ValueTask DisposeAsync()
    {
        foreach (var statement in _all)
        {
            await statement.DisposeAsync();
        }
    }
}
