using System.Text;
using Microsoft.Data.Sqlite;
using SQLitePCL;

namespace TeleHearing.Hub.Storage.Verification;

/// <summary>A chain as it was found.</summary>
/// <param name="Owner">Whose it is; empty where a table holds one chain only.</param>
/// <param name="Chain">Its name, as hashed.</param>
/// <param name="Rows">How many rows it has.</param>
/// <param name="BrokenAt">First entry that does not fit; absent when all do.</param>
/// <param name="LastHash">Hash of its last row, as stored.</param>
/// <param name="Replaced">Held heads whose entries have another hash.</param>
internal sealed record ScannedChain(string Owner, string Chain, long Rows, long? BrokenAt, byte[] LastHash, IReadOnlySet<ChainHead> Replaced);

/// <summary>Walks a table of chains once, row by row, through SQLite's own interface: no row becomes an object, so that a large store is verified at the pace of the hash.</summary>
internal static class ChainScan
{
    // Columns of the query.
    private const int Owner = 0, Sequence = 1, Kind = 2, Shape = 3, Payload = 4, Time = 5, Previous = 6, Hash = 7;

    private const int HashBytes = 32;

    /// <summary>The chains of a table, one after the other.</summary>
    public static IEnumerable<ScannedChain> Of(SqliteConnection connection, ChainTable table, ILookup<string, ChainHead> held, CancellationToken cancellationToken)
    {
        // Ordered as the tables' own keys are, so that nothing is sorted.
        var order = table.Owner is null ? "Sequence" : $"{table.Owner}, Sequence";
        var sql = $"SELECT {table.Owner ?? "''"}, Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash FROM {table.Table} ORDER BY {order}";
        Check(raw.sqlite3_prepare_v2(connection.Handle!, sql, out var statement), connection);
        using (statement)
        {
            Walk? walk = null;
            while (Step(statement, connection))
            {
                if (walk is null || !raw.sqlite3_column_blob(statement, Owner).SequenceEqual(walk.OwnerBytes))
                {
                    cancellationToken.ThrowIfCancellationRequested();
                    if (walk is not null)
                    {
                        yield return walk.Found();
                    }

                    walk = new Walk(table, raw.sqlite3_column_blob(statement, Owner).ToArray(), held);
                }

                walk.Take(statement);
            }

            if (walk is not null)
            {
                yield return walk.Found();
            }
        }
    }

    private static bool Step(sqlite3_stmt statement, SqliteConnection connection)
    {
        var code = raw.sqlite3_step(statement);
        if (code is not (raw.SQLITE_ROW or raw.SQLITE_DONE))
        {
            Check(code, connection);
        }

        return code == raw.SQLITE_ROW;
    }

    private static void Check(int code, SqliteConnection connection) => SqliteException.ThrowExceptionForRC(code, connection.Handle!);

    /// <summary>One chain on the way through it.</summary>
    private sealed class Walk
    {
        private readonly string _owner;
        private readonly string _chain;
        private readonly byte[] _name;
        private readonly ILookup<long, ChainHead> _held;
        private readonly byte[] _previous = new byte[HashBytes];
        private readonly byte[] _hash = new byte[HashBytes];
        private readonly HashSet<ChainHead> _replaced = [];
        private long _rows;
        private long? _brokenAt;

        public Walk(ChainTable table, byte[] owner, ILookup<string, ChainHead> held)
        {
            OwnerBytes = owner;
            _owner = Encoding.UTF8.GetString(owner);
            _chain = table.NameOf(_owner);
            _name = Encoding.UTF8.GetBytes(_chain);
            _held = held[_chain].ToLookup(head => head.Sequence);
        }

        public byte[] OwnerBytes { get; }

        public void Take(sqlite3_stmt statement)
        {
            var expected = ++_rows;
            var stored = raw.sqlite3_column_blob(statement, Hash);
            if (_brokenAt is null && !Fits(statement, expected, stored))
            {
                // A number beside its place tells where something is missing or was put in.
                _brokenAt = raw.sqlite3_column_type(statement, Sequence) == raw.SQLITE_INTEGER ? Math.Min(raw.sqlite3_column_int64(statement, Sequence), expected) : expected;
            }

            // Every head of the entry by itself: one that fits says nothing of the others.
            if (_held.Count > 0 && _held[expected] is var seen && seen.Any())
            {
                var hash = Convert.ToHexStringLower(stored);
                _replaced.UnionWith(seen.Where(head => !string.Equals(hash, head.Hash, StringComparison.OrdinalIgnoreCase)));
            }

            _previous.AsSpan().Clear();
            stored[..Math.Min(stored.Length, HashBytes)].CopyTo(_previous);
        }

        public ScannedChain Found() => new(_owner, _chain, _rows, _brokenAt, [.. _previous], _replaced);

        private bool Fits(sqlite3_stmt statement, long expected, ReadOnlySpan<byte> stored)
        {
            if (!HasItsTypes(statement) || raw.sqlite3_column_int64(statement, Sequence) != expected || stored.Length != HashBytes || !raw.sqlite3_column_blob(statement, Previous).SequenceEqual(_previous))
            {
                return false;
            }

            HashChain.Next(
                _previous,
                _name,
                expected,
                raw.sqlite3_column_blob(statement, Kind),
                raw.sqlite3_column_int64(statement, Shape),
                raw.sqlite3_column_int64(statement, Time),
                raw.sqlite3_column_blob(statement, Payload),
                _hash);
            return stored.SequenceEqual(_hash);
        }

        // A value of another kind would be read as something it is not: text for a number, a number for text.
        private static bool HasItsTypes(sqlite3_stmt statement) =>
            raw.sqlite3_column_type(statement, Owner) == raw.SQLITE_TEXT
            && raw.sqlite3_column_type(statement, Sequence) == raw.SQLITE_INTEGER
            && raw.sqlite3_column_type(statement, Kind) == raw.SQLITE_TEXT
            && raw.sqlite3_column_type(statement, Shape) == raw.SQLITE_INTEGER
            && raw.sqlite3_column_type(statement, Payload) == raw.SQLITE_TEXT
            && raw.sqlite3_column_type(statement, Time) == raw.SQLITE_INTEGER
            && raw.sqlite3_column_type(statement, Previous) == raw.SQLITE_BLOB
            && raw.sqlite3_column_type(statement, Hash) == raw.SQLITE_BLOB;
    }
}
