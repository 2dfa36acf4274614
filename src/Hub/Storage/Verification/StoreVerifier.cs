using System.Data;
using System.Data.Common;
using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage.Verification;

/// <summary>Verifies every chain of a store: each hash, each number, that no chain has lost its end, that no row is without an owner, and that the ends which somebody holds elsewhere are still there. Reads only.</summary>
/// <remarks>A chain alone shows a change, a removal in the middle and a swap. Its end shows by the count beside it, and against somebody who changes the count too, by a head that was kept elsewhere: in a kit's journal, on paper, in a file sent out.</remarks>
internal static class StoreVerifier
{
    /// <summary>Verifies a store.</summary>
    /// <param name="connection">An open connection; the read is one transaction, so that a running hub does not disturb it.</param>
    /// <param name="held">Heads that were kept elsewhere.</param>
    /// <param name="seals">Opens events, to hold lists against them; absent where the keys are not at hand, and the chains alone are walked.</param>
    /// <param name="cancellationToken">Cancels the reading.</param>
    public static async Task<StoreVerdict> Verify(DbConnection connection, IReadOnlyList<ChainHead> held, Seals? seals, CancellationToken cancellationToken)
    {
        await using var transaction = connection is SqliteConnection file ? file.BeginTransaction(deferred: true) : await connection.BeginTransactionAsync(IsolationLevel.RepeatableRead, cancellationToken);
        return await Judge(connection, held, seals, cancellationToken);
    }

    /// <summary>The same inside a transaction that is open already.</summary>
    public static async Task<StoreVerdict> Judge(DbConnection connection, IReadOnlyList<ChainHead> held, Seals? seals, CancellationToken cancellationToken)
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
            foreach (var found in Scan(connection, table, heldByChain, cancellationToken))
            {
                seen.Add(found.Chain);
                entries += found.Rows;
                heads.Add(new ChainHead(found.Chain, found.Rows, Convert.ToHexStringLower(found.LastHash)));
                faults.AddRange(OfChain(table, found, counts, heldByChain[found.Chain]));
                counts.Remove(found.Owner);
            }

            // Owners with no row at all: right only for one that should have none.
            faults.AddRange(counts.Where(count => count.Value > 0).Select(count => new ChainFault(table.Words(count.Key), 1, "every entry is gone.")));
        }

        faults.AddRange(held.Where(head => !seen.Contains(head.Chain) && head.Sequence > 0).Select(head => new ChainFault(head.Chain, 1, "the chain is gone, and its head was kept.")));
        if (seals is not null)
        {
            faults.AddRange(await SessionProjections.Verify(connection, seals, cancellationToken));
        }

        return new StoreVerdict(entries, heads, faults);
    }

    private static IEnumerable<ChainFault> OfChain(ChainTable table, ScannedChain found, Dictionary<string, long> counts, IEnumerable<ChainHead> held)
    {
        var where = table.Words(found.Owner);
        if (!counts.TryGetValue(found.Owner, out var expected))
        {
            yield return new ChainFault(where, null, "its entries stand alone: whose they are is gone.");
            expected = found.Rows;
        }

        if (found.BrokenAt is { } broken)
        {
            yield return new ChainFault(where, broken, "an entry does not fit its hash, or one is missing before it.");
        }
        else if (found.Rows < expected)
        {
            yield return new ChainFault(where, found.Rows + 1, string.Create(CultureInfo.InvariantCulture, $"the end is gone: {found.Rows} of {expected} entries are left."));
        }
        else if (found.Rows > expected)
        {
            yield return new ChainFault(where, expected + 1, string.Create(CultureInfo.InvariantCulture, $"there are {found.Rows} entries, and {expected} were recorded."));
        }

        foreach (var head in held)
        {
            if (head.Sequence > found.Rows)
            {
                yield return new ChainFault(where, found.Rows + 1, string.Create(CultureInfo.InvariantCulture, $"the end is gone: entry {head.Sequence} was seen before."));
            }
            else if (found.Replaced.Contains(head))
            {
                yield return new ChainFault(where, head.Sequence, "the entry is not the one that was seen before.");
            }
        }
    }

    private static async Task<Dictionary<string, long>> Counts(DbConnection connection, ChainTable table, CancellationToken cancellationToken)
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

    // In a file each row is read where it lies; over a wire it comes as values.
    private static IEnumerable<ScannedChain> Scan(DbConnection connection, ChainTable table, ILookup<string, ChainHead> held, CancellationToken cancellationToken) => connection is SqliteConnection file
        ? ChainScan.Of(file, table, held, cancellationToken)
        : SharedChainScan.Of(connection, table, held, cancellationToken);

    private static async Task<bool> Exists(DbConnection connection, string table, CancellationToken cancellationToken)
    {
        if (connection is not SqliteConnection file)
        {
            // A shared database has had every table from its first version on.
            return true;
        }

        await using var command = file.CreateCommand();
        command.CommandText = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = $name";
        command.Parameters.AddWithValue("$name", table);
        return await command.ExecuteScalarAsync(cancellationToken) is not null;
    }
}
