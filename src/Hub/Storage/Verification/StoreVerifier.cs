using System.Globalization;
using Microsoft.Data.Sqlite;

namespace TeleHearing.Hub.Storage.Verification;

/// <summary>Verifies every chain of a store: each hash, each number, that no chain has lost its end, that no row is without an owner, and that the ends which somebody holds elsewhere are still there. Reads only.</summary>
/// <remarks>A chain alone shows a change, a removal in the middle and a swap. Its end shows by the count beside it, and against somebody who changes the count too, by a head that was kept elsewhere: in a kit's journal, on paper, in a file sent out.</remarks>
internal static class StoreVerifier
{
    /// <summary>Verifies a store.</summary>
    /// <param name="connection">An open connection; the read is one transaction, so that a running hub does not disturb it.</param>
    /// <param name="held">Heads that were kept elsewhere.</param>
    /// <param name="cancellationToken">Cancels the reading.</param>
    public static async Task<StoreVerdict> Verify(SqliteConnection connection, IReadOnlyList<ChainHead> held, CancellationToken cancellationToken)
    {
        await using var transaction = connection.BeginTransaction(deferred: true);
        return await Judge(connection, held, cancellationToken);
    }

    /// <summary>The same inside a transaction that is open already.</summary>
    public static async Task<StoreVerdict> Judge(SqliteConnection connection, IReadOnlyList<ChainHead> held, CancellationToken cancellationToken)
    {
        var (entries, heads, faults) = (0L, new List<ChainHead>(), new List<ChainFault>());
        var heldByChain = held.ToLookup(head => head.Chain, StringComparer.Ordinal);
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var table in ChainTable.All)
        {
            if (!await Exists(connection, table.Table, cancellationToken))
            {
                continue;
            }

            var counts = await Counts(connection, table, cancellationToken);
            await foreach (var (owner, rows) in Read(connection, table, cancellationToken))
            {
                var name = Name(table, owner);
                seen.Add(name);
                entries += rows.Count;
                heads.Add(new ChainHead(name, rows[^1].Sequence, Convert.ToHexStringLower(rows[^1].Hash)));
                faults.AddRange(OfChain(table, owner, rows, counts, heldByChain[name]));
                counts.Remove(owner);
            }

            // Owners with no row at all: right only for one that should have none.
            faults.AddRange(counts.Where(count => count.Value > 0).Select(count => new ChainFault(table.Words(count.Key), 1, "every entry is gone.")));
        }

        faults.AddRange(held.Where(head => !seen.Contains(head.Chain) && head.Sequence > 0).Select(head => new ChainFault(head.Chain, 1, "the chain is gone, and its head was kept.")));
        faults.AddRange(await SessionProjections.Verify(connection, cancellationToken));
        return new StoreVerdict(entries, heads, faults);
    }

    private static IEnumerable<ChainFault> OfChain(ChainTable table, string owner, IReadOnlyList<ChainRow> rows, Dictionary<string, long> counts, IEnumerable<ChainHead> held)
    {
        var where = table.Words(owner);
        if (!counts.TryGetValue(owner, out var expected))
        {
            yield return new ChainFault(where, null, "its entries stand alone: whose they are is gone.");
            expected = rows.Count;
        }

        var integrity = HashChain.Verify(rows, expected);
        if (!integrity.Valid)
        {
            yield return integrity.BrokenAtSequence > rows.Count && integrity.BrokenAtSequence <= expected
                ? new ChainFault(where, integrity.BrokenAtSequence, string.Create(CultureInfo.InvariantCulture, $"the end is gone: {rows.Count} of {expected} entries are left."))
                : new ChainFault(where, integrity.BrokenAtSequence, "an entry does not fit its hash, or one is missing before it.");
        }
        else if (rows.Count > expected)
        {
            yield return new ChainFault(where, expected + 1, string.Create(CultureInfo.InvariantCulture, $"there are {rows.Count} entries, and {expected} were recorded."));
        }

        foreach (var head in held)
        {
            if (head.Sequence > rows.Count)
            {
                yield return new ChainFault(where, rows.Count + 1, string.Create(CultureInfo.InvariantCulture, $"the end is gone: entry {head.Sequence} was seen before."));
            }
            else if (head.Sequence > 0 && !string.Equals(Convert.ToHexStringLower(rows[(int)head.Sequence - 1].Hash), head.Hash, StringComparison.OrdinalIgnoreCase))
            {
                yield return new ChainFault(where, head.Sequence, "the entry is not the one that was seen before.");
            }
        }
    }

    private static async Task<Dictionary<string, long>> Counts(SqliteConnection connection, ChainTable table, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = table.Heads;
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        var counts = new Dictionary<string, long>(StringComparer.Ordinal);
        while (await reader.ReadAsync(cancellationToken))
        {
            counts[reader.GetString(0)] = reader.GetInt64(1);
        }

        return counts;
    }

    /// <summary>The rows of each owner, in order. One chain is held in memory at a time.</summary>
    private static async IAsyncEnumerable<(string Owner, IReadOnlyList<ChainRow> Rows)> Read(SqliteConnection connection, ChainTable table, [System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        var owner = table.Owner ?? "''";
        command.CommandText = $"SELECT {owner}, Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash FROM {table.Table} ORDER BY {owner}, Sequence";
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        string? current = null;
        var rows = new List<ChainRow>();
        while (await reader.ReadAsync(cancellationToken))
        {
            var whose = reader.GetString(0);
            if (current is not null && !string.Equals(whose, current, StringComparison.Ordinal))
            {
                yield return (current, rows);
                rows = [];
            }

            current = whose;
            rows.Add(Row(Name(table, whose), reader));
        }

        if (current is not null)
        {
            yield return (current, rows);
        }
    }

    private static ChainRow Row(string name, SqliteDataReader reader)
    {
        try
        {
            return new ChainRow(
                name,
                reader.GetInt64(1),
                reader.GetString(2),
                checked((int)reader.GetInt64(3)),
                reader.GetString(4),
                reader.GetInt64(5),
                reader.GetFieldValue<byte[]>(6),
                reader.GetFieldValue<byte[]>(7));
        }
        catch (Exception fault) when (fault is InvalidCastException or OverflowException)
        {
            // A value of another kind or beyond its range was put in: no hash fits it, and that is what is told.
            return new ChainRow(name, reader.GetInt64(1), string.Empty, 0, string.Empty, 0, [], []);
        }
    }

    // An owner that was changed into nonsense names no chain: its rows then stand alone and fit no hash.
    private static string Name(ChainTable table, string owner)
    {
        try
        {
            return table.NameOf(owner);
        }
        catch (FormatException)
        {
            return owner;
        }
    }

    private static async Task<bool> Exists(SqliteConnection connection, string table, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = $name";
        command.Parameters.AddWithValue("$name", table);
        return await command.ExecuteScalarAsync(cancellationToken) is not null;
    }
}
