using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using SQLitePCL;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>A connection to the file, by SQLite's own interface: beginning, committing and asking whether others wrote are statements prepared once, like all others, and values are bound by place. The driver parses the first two anew each time and looks up every parameter by its name.</summary>
internal sealed class FileLogConnection : LogConnection
{
    /// <summary>How long it waits for another process that writes, in ms: as long as the driver does by default (30 s).</summary>
    private const int WaitsForOthersMs = 30_000;

    private readonly HubContext _context;
    private readonly sqlite3 _file;
    private readonly FileStatement _begin;
    private readonly FileStatement _commit;
    private readonly FileStatement _rollback;
    private readonly FileStatement _mark;
    private readonly FileStatement _unmark;
    private readonly FileStatement _takeBack;
    private readonly FileStatement _othersWrote;
    private readonly List<FileStatement> _all = [];

    /// <summary>Takes over a context whose connection is open.</summary>
    public FileLogConnection(HubContext context)
    {
        _context = context;
        _file = ((SqliteConnection)context.Database.GetDbConnection()).Handle ?? throw new InvalidOperationException("The connection is not open.");

        // The transaction is begun and ended here: the context must not begin one of its own inside.
        context.Database.AutoTransactionBehavior = AutoTransactionBehavior.Never;
        SqliteException.ThrowExceptionForRC(raw.sqlite3_busy_timeout(_file, WaitsForOthersMs), _file);
        _begin = New("BEGIN IMMEDIATE");
        _commit = New("COMMIT");
        _rollback = New("ROLLBACK");
        _mark = New("SAVEPOINT append");
        _unmark = New("RELEASE append");
        _takeBack = New("ROLLBACK TO append");

        // "The integer values returned by two invocations of PRAGMA data_version from the same connection will be different if changes were committed to the database by any other connection in the interim" (sqlite.org/pragma.html).
        _othersWrote = New("PRAGMA data_version");
    }

    public override LogStatement Prepare(string sql, params ReadOnlySpan<string> parameters) => New(sql, parameters);

    public override long? OthersWrote() => (long)_othersWrote.Ask()![0];

    public override Task Begin() => _begin.Run();

    public override Task Commit() => _commit.Run();

    public override ValueTask End()
    {
        // SQLite ends a transaction by itself after some faults of the disk.
        if (raw.sqlite3_get_autocommit(_file) == 0)
        {
            try
            {
                _rollback.Do();
            }
            catch (SqliteException)
            {
                // What is told is the first fault. The connection must not come back from the driver's pool, which does not know of this transaction.
                SqliteConnection.ClearPool((SqliteConnection)_context.Database.GetDbConnection());
            }
        }

        return ValueTask.CompletedTask;
    }

    public override Task Mark() => _mark.Run();

    public override Task Unmark(bool keep)
    {
        if (!keep)
        {
            _takeBack.Do();
        }

        return _unmark.Run();
    }

    public override Task<HubContext> Context() => Task.FromResult(_context);

    public override async ValueTask DisposeAsync()
    {
        foreach (var statement in _all)
        {
            await statement.DisposeAsync();
        }

        await _context.DisposeAsync();
    }

    private FileStatement New(string sql, params ReadOnlySpan<string> parameters)
    {
        var statement = new FileStatement(_file, sql, parameters);
        _all.Add(statement);
        return statement;
    }
}
