using System.Collections.Concurrent;
using Npgsql;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage.Postgres;

namespace TeleHearing.Hub.Kits;

/// <summary>Lets one coming or going of a kit be handled at a time, at whichever hub, so that a late going is never recorded over a newer coming.</summary>
internal sealed class PresenceGate(HubSettings settings)
{
    /// <summary>Space of the database's locks for kits.</summary>
    private const int Space = 0x7E1E;

    private readonly ConcurrentDictionary<KitId, SemaphoreSlim> _gates = new();

    public async Task<T> Alone<T>(KitId kitId, Func<Task<T>> work, CancellationToken cancellationToken)
    {
        var gate = _gates.GetOrAdd(kitId, _ => new SemaphoreSlim(1, 1));
        await gate.WaitAsync(cancellationToken);
        try
        {
            return settings.Database is { } database ? await AmongHubs(database, kitId, work, cancellationToken) : await work();
        }
        finally
        {
            gate.Release();
        }
    }

    /// <summary>The lock is the transaction's: the database gives it back when this hub is killed, and after a while when it stands still.</summary>
    private static async Task<T> AmongHubs<T>(string database, KitId kitId, Func<Task<T>> work, CancellationToken cancellationToken)
    {
        await using var connection = new NpgsqlConnection(PostgresStore.Connection(database));
        await connection.OpenAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await using (var command = new NpgsqlCommand("SET LOCAL idle_in_transaction_session_timeout = '10s'; SET LOCAL lock_timeout = '12s'", connection, transaction))
        {
            await command.ExecuteNonQueryAsync(cancellationToken);
        }

        await using (var command = new NpgsqlCommand("SELECT pg_advisory_xact_lock(@space, hashtext(@kit))", connection, transaction))
        {
            command.Parameters.AddWithValue("space", Space);
            command.Parameters.AddWithValue("kit", kitId.Value);
            await command.ExecuteNonQueryAsync(cancellationToken);
        }

        return await work();
    }
}
