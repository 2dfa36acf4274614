using System.Data.Common;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>The prepared statements of the connection that writes.</summary>
internal sealed class LogStatements : IAsyncDisposable
{
    private readonly DbCommand _head;
    private readonly DbCommand _addEvent;
    private readonly DbCommand _moveSession;
    private readonly DbCommand _addReceipt;
    private readonly DbCommand _moveCursor;
    private readonly DbCommand _addCursor;
    private readonly DbCommand[] _all;

    public LogStatements(DbConnection connection, LogDialect dialect)
    {
        _head = LogSql.Prepare(connection, LogSql.Head, "id");
        _addEvent = LogSql.Prepare(connection, LogSql.AddEvent, "id", "sequence", "kind", "shape", "payload", "time", "previous", "hash");
        _moveSession = LogSql.Prepare(connection, LogSql.MoveSession, "stage", "kit", "controller", "handoff", "version", "time", "id");
        _addReceipt = LogSql.Prepare(connection, LogSql.AddReceipt, "id", "session", "fingerprint", "receipt");
        _moveCursor = LogSql.Prepare(connection, LogSql.MoveCursor, "sequence", "id");
        _addCursor = LogSql.Prepare(connection, LogSql.AddCursor, "id", "kit", "sequence");
        AuditHead = LogSql.Prepare(connection, LogSql.AuditHead);
        AddAudit = LogSql.Prepare(connection, LogSql.AddAudit, "sequence", "kind", "shape", "payload", "time", "previous", "hash");
        MoveAudit = LogSql.Prepare(connection, LogSql.MoveAudit, "entries");
        OthersWrote = dialect.OthersWrote is { } ask ? LogSql.Prepare(connection, ask) : null;
        TakeLog = dialect.Take(StoreTurn.Log) is { } log ? LogSql.Prepare(connection, log) : null;
        TakeAudit = dialect.Take(StoreTurn.Audit) is { } audit ? LogSql.Prepare(connection, audit) : null;
        _all = [.. new[] { _head, _addEvent, _moveSession, _addReceipt, _moveCursor, _addCursor, AuditHead, AddAudit, MoveAudit, OthersWrote, TakeLog, TakeAudit }.OfType<DbCommand>()];
    }

    public DbCommand AuditHead { get; }

    public DbCommand AddAudit { get; }

    public DbCommand MoveAudit { get; }

    /// <summary>Asks for a number that changes when somebody else writes; absent where the database cannot say that.</summary>
    public DbCommand? OthersWrote { get; }

    /// <summary>Waits for its turn among several hubs; absent where the transaction itself says so.</summary>
    public DbCommand? TakeLog { get; }

    /// <summary>The same for the audit.</summary>
    public DbCommand? TakeAudit { get; }

    /// <summary>Statements belong to a transaction from now on, or to none.</summary>
    public void Join(DbTransaction? transaction)
    {
        foreach (var command in _all)
        {
            command.Transaction = transaction;
        }
    }

    /// <summary>The last event of a session; 0 and nothing when it has none.</summary>
    public async Task<(long Version, byte[]? Hash)> Head(Guid sessionId)
    {
        Fill(_head, sessionId);
        await using var row = await _head.ExecuteReaderAsync(CancellationToken.None);
        return await row.ReadAsync(CancellationToken.None) ? (row.GetInt64(0), row.GetFieldValue<byte[]>(1)) : (0, null);
    }

    /// <summary>Adds events and moves on what lists show.</summary>
    public async Task Add(SessionRows session)
    {
        foreach (var row in session.Events)
        {
            await Run(_addEvent, row.SessionId, row.Sequence, row.Kind, row.Shape, row.Payload, row.TimeTicks, row.PreviousHash, row.Hash);
        }

        var last = session.Events[^1];
        await Run(_moveSession, session.Stage, session.KitId, session.SealedController, session.HandoffOpen, last.Sequence, last.TimeTicks, session.SessionId);
    }

    /// <returns>0 when it is there already.</returns>
    public Task<int> Add(CommandReceiptRow receipt) => Run(_addReceipt, receipt.CommandId, receipt.SessionId, receipt.Fingerprint, receipt.SealedReceipt);

    /// <returns>0 when it is further on already.</returns>
    public async Task<int> Move(KitCursorRow cursor) =>
        await Run(_moveCursor, cursor.AcknowledgedSequence, cursor.JournalId) is > 0 and var moved ? moved : await Run(_addCursor, cursor.JournalId, cursor.KitId, cursor.AcknowledgedSequence);

    /// <summary>Carries out a statement.</summary>
    public static Task<int> Run(DbCommand command, params ReadOnlySpan<object?> values)
    {
        Fill(command, values);
        return command.ExecuteNonQueryAsync(CancellationToken.None);
    }

    public async ValueTask DisposeAsync()
    {
        foreach (var command in _all)
        {
            await command.DisposeAsync();
        }
    }

    private static void Fill(DbCommand command, params ReadOnlySpan<object?> values)
    {
        for (var index = 0; index < values.Length; index++)
        {
            command.Parameters[index].Value = values[index] ?? DBNull.Value;
        }
    }
}
