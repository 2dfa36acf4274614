using System.Data;
using System.Data.Common;

namespace TeleHearing.Hub.Storage.Verification;

/// <summary>Walks a table of chains in a shared database once, row by row, as it comes over the wire.</summary>
internal static class SharedChainScan
{
    // Columns of the query.
    private const int Owner = 0, Sequence = 1, Kind = 2, Shape = 3, Payload = 4, Time = 5, Previous = 6, Hash = 7;

    /// <summary>The chains of a table, one after the other.</summary>
    public static IEnumerable<ScannedChain> Of(DbConnection connection, ChainTable table, ILookup<string, ChainHead> held, CancellationToken cancellationToken)
    {
        using var command = connection.CreateCommand();
        var (owner, order) = table.Owner is { } column ? ($"CAST(\"{column}\" AS text)", $"\"{column}\", \"Sequence\"") : ("''", "\"Sequence\"");
        command.CommandText = $"""SELECT {owner}, "Sequence", "Kind", "Shape", "Payload", "TimeTicks", "PreviousHash", "Hash" FROM {table.Table} ORDER BY {order}""";
        using var reader = command.ExecuteReader(CommandBehavior.SingleResult);
        Walk? walk = null;
        while (reader.Read())
        {
            if (reader.GetString(Owner) is var whose && walk?.Owner != whose)
            {
                cancellationToken.ThrowIfCancellationRequested();
                if (walk is not null)
                {
                    yield return walk.Found();
                }

                walk = new Walk(table, whose, held);
            }

            walk.Take(reader);
        }

        if (walk is not null)
        {
            yield return walk.Found();
        }
    }

    /// <summary>One chain on the way through it.</summary>
    private sealed class Walk(ChainTable table, string owner, ILookup<string, ChainHead> held)
    {
        private readonly string _chain = table.NameOf(owner);
        private readonly ILookup<long, ChainHead> _held = held[table.NameOf(owner)].ToLookup(head => head.Sequence);
        private readonly HashSet<ChainHead> _replaced = [];
        private byte[] _previous = HashChain.Start;
        private long _rows;
        private long? _brokenAt;

        public string Owner => owner;

        public void Take(DbDataReader row)
        {
            var (expected, sequence, stored) = (++_rows, row.GetInt64(Sequence), row.GetFieldValue<byte[]>(Hash));
            if (_brokenAt is null
                && !(sequence == expected
                    && row.GetFieldValue<byte[]>(Previous).AsSpan().SequenceEqual(_previous)
                    && stored.AsSpan().SequenceEqual(HashChain.Next(_previous, _chain, sequence, row.GetString(Kind), row.GetInt32(Shape), row.GetInt64(Time), row.GetString(Payload)))))
            {
                // A number beside its place tells where something is missing or was put in.
                _brokenAt = Math.Min(sequence, expected);
            }

            var hash = Convert.ToHexStringLower(stored);
            _replaced.UnionWith(_held[expected].Where(head => !string.Equals(hash, head.Hash, StringComparison.OrdinalIgnoreCase)));
            _previous = stored;
        }

        public ScannedChain Found() => new(owner, _chain, _rows, _brokenAt, _previous, _replaced);
    }
}
