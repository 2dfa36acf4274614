using Microsoft.Data.Sqlite;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>The same rows into the same tables with the same indexes and the same durability, by two prepared statements of the bare driver and nothing else: nothing read, sealed, chained, folded or decided.</summary>
internal sealed class RawLog : IDisposable
{
    private readonly SqliteConnection _connection;
    private readonly SqliteCommand _insert;
    private readonly SqliteCommand _move;
    private readonly string _store;
    private string _session = string.Empty;
    private long _sequence;

    /// <summary>Makes the tables.</summary>
    /// <param name="file">Where.</param>
    /// <param name="store">Database of a store, whose tables they are.</param>
    public RawLog(string file, string store)
    {
        _connection = new SqliteConnection($"Data Source={file}");
        _connection.Open();
        Run("PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON");
        _store = store;
        Attach();
        foreach (var table in Texts("SELECT sql FROM store.sqlite_master WHERE tbl_name IN ('session_events', 'sessions') AND sql IS NOT NULL ORDER BY type DESC"))
        {
            Run(table);
        }

        Run("DETACH store");
        _insert = Prepare("INSERT INTO session_events (SessionId, Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)", 8);
        _move = Prepare("UPDATE sessions SET Version = $1, LastEventTicks = $2 WHERE SessionId = $3", 3);
    }

    /// <summary>Takes over the row of a session from the store.</summary>
    public void Take(SessionId session)
    {
        (_session, _sequence) = (session.Value.ToString().ToUpperInvariant(), 0);
        Attach();
        Run($"INSERT INTO main.sessions SELECT * FROM store.sessions WHERE SessionId = '{_session}'");

        // A transaction that writes would take the store's file too.
        Run("DETACH store");
    }

    /// <summary>Appends a row so many times, each durable by itself.</summary>
    public void Append(int count, SessionEventRow row)
    {
        for (var number = 0; number < count; number++)
        {
            _sequence++;
            using var transaction = _connection.BeginTransaction();
            Run(_insert, transaction, _session, _sequence, row.Kind, row.Shape, row.Payload, row.TimeTicks, row.PreviousHash, row.Hash);
            Run(_move, transaction, _sequence, row.TimeTicks, _session);
            transaction.Commit();
        }
    }

    public void Dispose()
    {
        _insert.Dispose();
        _move.Dispose();
        _connection.Dispose();
    }

    private static void Run(SqliteCommand command, SqliteTransaction transaction, params ReadOnlySpan<object> values)
    {
        command.Transaction = transaction;
        for (var index = 0; index < values.Length; index++)
        {
            command.Parameters[index].Value = values[index];
        }

        if (command.ExecuteNonQuery() != 1)
        {
            throw new InvalidOperationException("The bare driver did not write its row.");
        }
    }

    private SqliteCommand Prepare(string sql, int parameters)
    {
        var command = _connection.CreateCommand();
        command.CommandText = sql;
        for (var number = 1; number <= parameters; number++)
        {
            command.Parameters.Add(new SqliteParameter($"${number}", null));
        }

        return command;
    }

    private void Attach() => Run($"ATTACH '{_store}' AS store");

    private List<string> Texts(string sql)
    {
        using var command = _connection.CreateCommand();
        command.CommandText = sql;
        using var reader = command.ExecuteReader();
        var texts = new List<string>();
        while (reader.Read())
        {
            texts.Add(reader.GetString(0));
        }

        return texts;
    }

    private void Run(string sql)
    {
        using var command = _connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }
}
