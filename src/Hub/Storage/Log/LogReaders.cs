using System.Collections.Concurrent;
using System.Data.Common;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>The short questions on the way of every command, with prepared statements on connections that stay open. Any thread: each question has a connection for itself.</summary>
internal sealed class LogReaders(IDbContextFactory<HubContext> contexts) : IAsyncDisposable
{
    private readonly ConcurrentStack<Reader> _free = [];
    private volatile bool _over;

    public async Task<StoredReceipt?> FindReceipt(CommandId commandId, CancellationToken cancellationToken) => await Ask(
        async reader =>
        {
            reader.Receipt.Parameters[0].Value = commandId.Value;
            await using var row = await reader.Receipt.ExecuteReaderAsync(cancellationToken);
            return await row.ReadAsync(cancellationToken)
                ? new StoredReceipt(row.GetGuid(0), row.GetFieldValue<byte[]>(1), row.IsDBNull(2) ? null : row.GetString(2))
                : null;
        },
        cancellationToken);

    public async Task<long> FindCursor(JournalId journalId, CancellationToken cancellationToken) => await Ask(
        async reader =>
        {
            reader.Cursor.Parameters[0].Value = journalId.Value;
            return await reader.Cursor.ExecuteScalarAsync(cancellationToken) is long held ? held : 0;
        },
        cancellationToken);

    public async Task<ChainEnd?> FindEnd(SessionId sessionId, CancellationToken cancellationToken) => await Ask(
        reader =>
        {
            reader.End.Parameters[0].Value = sessionId.Value;
            return End(reader.End, cancellationToken);
        },
        cancellationToken);

    public async Task<ChainEnd?> FindAuditEnd(CancellationToken cancellationToken) => await Ask(reader => End(reader.AuditEnd, cancellationToken), cancellationToken);

    public async Task<long?> FindFactVersion(KitId kitId, CancellationToken cancellationToken) => await Ask(
        async reader =>
        {
            reader.FactVersion.Parameters[0].Value = kitId.Value;
            return await reader.FactVersion.ExecuteScalarAsync(cancellationToken) as long?;
        },
        cancellationToken);

    public async Task<IReadOnlyList<ChangedSession>> FindChanged(long position, CancellationToken cancellationToken) => await Ask<IReadOnlyList<ChangedSession>>(
        async reader =>
        {
            reader.Changed.Parameters[0].Value = position;
            await using var row = await reader.Changed.ExecuteReaderAsync(cancellationToken);
            var changed = new List<ChangedSession>();
            while (await row.ReadAsync(cancellationToken))
            {
                changed.Add(new ChangedSession(new SessionId(row.GetGuid(0)), row.GetInt64(1)));
            }

            return changed;
        },
        cancellationToken);

    public async ValueTask DisposeAsync()
    {
        _over = true;
        while (_free.TryPop(out var reader))
        {
            await reader.DisposeAsync();
        }
    }

    private static async Task<ChainEnd?> End(DbCommand question, CancellationToken cancellationToken)
    {
        await using var row = await question.ExecuteReaderAsync(cancellationToken);
        return await row.ReadAsync(cancellationToken) ? new ChainEnd(row.GetInt64(0), row.GetFieldValue<byte[]>(1)) : null;
    }

    private async Task<T> Ask<T>(Func<Reader, Task<T>> question, CancellationToken cancellationToken)
    {
        if (_free.TryPop(out var kept))
        {
            try
            {
                return await Ask(kept, question);
            }
            catch (DbException)
            {
                // The connection was lost while nobody asked, as when a server was started anew: asked once more on a new one, which says what is wrong.
            }
        }

        return await Ask(await Reader.Open(contexts, cancellationToken), question);
    }

    private async Task<T> Ask<T>(Reader reader, Func<Reader, Task<T>> question)
    {
        var keep = false;
        try
        {
            var answer = await question(reader);
            keep = !_over;
            return answer;
        }
        finally
        {
            if (keep)
            {
                _free.Push(reader);
            }
            else
            {
                await reader.DisposeAsync();
            }
        }
    }

    private sealed class Reader : IAsyncDisposable
    {
        private readonly HubContext _context;

        private Reader(HubContext context)
        {
            _context = context;
            var connection = context.Database.GetDbConnection();
            Receipt = LogSql.Prepare(connection, LogSql.Receipt, "id");
            Cursor = LogSql.Prepare(connection, LogSql.Cursor, "id");
            End = LogSql.Prepare(connection, LogSql.Head, "id");
            AuditEnd = LogSql.Prepare(connection, LogSql.AuditHead);
            FactVersion = LogSql.Prepare(connection, LogSql.FactVersion, "id");
            Changed = LogSql.Prepare(connection, LogSql.Changed, "position");
        }

        public DbCommand Receipt { get; }

        public DbCommand Cursor { get; }

        public DbCommand End { get; }

        public DbCommand AuditEnd { get; }

        public DbCommand FactVersion { get; }

        public DbCommand Changed { get; }

        public static async Task<Reader> Open(IDbContextFactory<HubContext> contexts, CancellationToken cancellationToken)
        {
            var context = await contexts.CreateDbContextAsync(cancellationToken);
            try
            {
                await context.Database.OpenConnectionAsync(cancellationToken);
                return new Reader(context);
            }
            catch
            {
                await context.DisposeAsync();
                throw;
            }
        }

        public async ValueTask DisposeAsync()
        {
            await Receipt.DisposeAsync();
            await Cursor.DisposeAsync();
            await End.DisposeAsync();
            await AuditEnd.DisposeAsync();
            await FactVersion.DisposeAsync();
            await Changed.DisposeAsync();
            await _context.DisposeAsync();
        }
    }
}
