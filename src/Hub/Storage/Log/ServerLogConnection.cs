using System.Data.Common;
using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>A connection to a database on a server, through its driver. Others write beside it, and it does not hear of that: its dialect makes every session be read anew.</summary>
internal sealed class ServerLogConnection(HubContext context) : LogConnection
{
    private const string Place = "append";

    private readonly DbConnection _connection = context.Database.GetDbConnection();
    private readonly List<DbCommand> _commands = [];
    private DbTransaction? _transaction;
    private bool _contextJoined;

    public override LogStatement Prepare(string sql, params ReadOnlySpan<string> parameters)
    {
        var command = LogSql.Prepare(_connection, sql, parameters);
        _commands.Add(command);
        return new Statement(command);
    }

    public override long? OthersWrote() => null;

    public override async Task Begin()
    {
        _transaction = await _connection.BeginTransactionAsync(CancellationToken.None);
        Join(_transaction);
    }

    public override Task Commit() => Begun().CommitAsync(CancellationToken.None);

    public override async ValueTask End()
    {
        if (_transaction is not { } transaction)
        {
            return;
        }

        _transaction = null;
        Join(null);
        try
        {
            if (_contextJoined)
            {
                _contextJoined = false;
                await context.Database.UseTransactionAsync(null, CancellationToken.None);
            }
        }
        finally
        {
            await Dispose(transaction);
        }
    }

    public override Task Mark() => Begun().SaveAsync(Place, CancellationToken.None);

    public override Task Unmark(bool keep) => keep ? Begun().ReleaseAsync(Place, CancellationToken.None) : Begun().RollbackAsync(Place, CancellationToken.None);

    public override async Task<HubContext> Context()
    {
        if (!_contextJoined)
        {
            await context.Database.UseTransactionAsync(Begun(), CancellationToken.None);
            _contextJoined = true;
        }

        return context;
    }

    public override ValueTask DisposeAsync() => context.DisposeAsync();

    private static async Task Dispose(DbTransaction transaction)
    {
        try
        {
            await transaction.DisposeAsync();
        }
        catch (DbException)
        {
            // The server is gone, and with it what was not committed. What is told is the first fault.
        }
    }

    private DbTransaction Begun() => _transaction ?? throw new InvalidOperationException("No transaction was begun.");

    private void Join(DbTransaction? transaction) => _commands.ForEach(command => command.Transaction = transaction);

    private sealed class Statement(DbCommand command) : LogStatement
    {
        public override Task<int> Run(params ReadOnlySpan<object?> values)
        {
            Fill(values);
            return command.ExecuteNonQueryAsync(CancellationToken.None);
        }

        public override Task<object[]?> First(params ReadOnlySpan<object?> values)
        {
            Fill(values);
            return First();
        }

        public override ValueTask DisposeAsync() => command.DisposeAsync();

        private async Task<object[]?> First()
        {
            await using var row = await command.ExecuteReaderAsync(CancellationToken.None);
            if (!await row.ReadAsync(CancellationToken.None))
            {
                return null;
            }

            var values = new object[row.FieldCount];
            row.GetValues(values);
            return values;
        }

        private void Fill(ReadOnlySpan<object?> values)
        {
            for (var index = 0; index < values.Length; index++)
            {
                command.Parameters[index].Value = values[index] ?? DBNull.Value;
            }
        }
    }
}
