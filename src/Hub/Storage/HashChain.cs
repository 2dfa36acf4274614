using System.Buffers;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Storage;

/// <summary>A stored row of a chain: an event of a session, a fact of a kit, or a fact of the fleet.</summary>
internal interface IChainedRow
{
    /// <summary>What the chain is about; the same in all its rows.</summary>
    string ChainName { get; }

    /// <summary>Place in the chain, from 1, without gaps.</summary>
    long Sequence { get; }

    string Kind { get; }

    int Shape { get; }

    string Payload { get; }

    long TimeTicks { get; }

    byte[] PreviousHash { get; }

    byte[] Hash { get; }
}

/// <summary>A row to be added to a chain.</summary>
internal sealed record ChainLink(long Sequence, string Kind, int Shape, string Payload, long TimeTicks, byte[] PreviousHash, byte[] Hash);

/// <summary>Chains the events of a session, the facts of a kit and those of the fleet: each hash covers the one before and everything in its own row, so that a change is seen.</summary>
internal static class HashChain
{
    /// <summary>Longest row that is put together on the stack, in bytes.</summary>
    private const int MostOnStack = 1024;

    /// <summary>What stands before the first event.</summary>
    public static byte[] Start { get; } = new byte[SHA256.HashSizeInBytes];

    /// <summary>SHA-256 over the previous hash, name of the chain, sequence, kind, shape, time and payload. The payload stands last and kinds hold no line break, so no two rows give the same bytes.</summary>
    public static byte[] Next(byte[] previousHash, string chainName, long sequence, string kind, int shape, long timeTicks, string payload)
    {
        var hash = new byte[SHA256.HashSizeInBytes];
        Next(previousHash, Encoding.UTF8.GetBytes(chainName), sequence, Encoding.UTF8.GetBytes(kind), shape, timeTicks, Encoding.UTF8.GetBytes(payload), hash);
        return hash;
    }

    /// <summary>The same of texts as the database holds them, in UTF-8, without making anything but the hash.</summary>
    /// <param name="previousHash">Hash of the row before.</param>
    /// <param name="chainName">Name of the chain.</param>
    /// <param name="sequence">Number of the row.</param>
    /// <param name="kind">Stored name.</param>
    /// <param name="shape">Number of the shape.</param>
    /// <param name="timeTicks">Hub time.</param>
    /// <param name="payload">What it holds.</param>
    /// <param name="hash">Takes the 32 bytes of the hash.</param>
    public static void Next(ReadOnlySpan<byte> previousHash, ReadOnlySpan<byte> chainName, long sequence, ReadOnlySpan<byte> kind, long shape, long timeTicks, ReadOnlySpan<byte> payload, Span<byte> hash)
    {
        // Three numbers of at most 20 characters and five line breaks besides what is given.
        var length = previousHash.Length + chainName.Length + kind.Length + payload.Length + 65;
        var rented = length > MostOnStack ? ArrayPool<byte>.Shared.Rent(length) : null;
        var bytes = rented is null ? stackalloc byte[MostOnStack] : rented;
        var written = 0;
        Put(bytes, ref written, previousHash);
        Line(bytes, ref written, chainName);
        Line(bytes, ref written, sequence);
        Line(bytes, ref written, kind);
        Line(bytes, ref written, shape);
        Line(bytes, ref written, timeTicks);
        Put(bytes, ref written, payload);
        SHA256.HashData(bytes[..written], hash);
        if (rented is not null)
        {
            ArrayPool<byte>.Shared.Return(rented);
        }
    }

    private static void Put(Span<byte> bytes, ref int written, ReadOnlySpan<byte> what)
    {
        what.CopyTo(bytes[written..]);
        written += what.Length;
    }

    private static void Line(Span<byte> bytes, ref int written, ReadOnlySpan<byte> what)
    {
        Put(bytes, ref written, what);
        bytes[written++] = (byte)'\n';
    }

    private static void Line(Span<byte> bytes, ref int written, long number)
    {
        number.TryFormat(bytes[written..], out var digits, provider: CultureInfo.InvariantCulture);
        written += digits;
        bytes[written++] = (byte)'\n';
    }

    /// <summary>The next links of a chain.</summary>
    /// <param name="head">Hash of its last row, or <see cref="Start"/>.</param>
    /// <param name="chainName">Its name.</param>
    /// <param name="version">Number of its rows.</param>
    /// <param name="timeTicks">Hub time of the new ones.</param>
    /// <param name="written">What they hold: stored name, shape, payload.</param>
    public static IReadOnlyList<ChainLink> Extend(byte[] head, string chainName, long version, long timeTicks, IEnumerable<(string Name, int Shape, string Payload)> written)
    {
        var links = new List<ChainLink>();
        foreach (var (name, shape, payload) in written)
        {
            var hash = Next(head, chainName, ++version, name, shape, timeTicks, payload);
            links.Add(new ChainLink(version, name, shape, payload, timeTicks, head, hash));
            head = hash;
        }

        return links;
    }

    /// <summary>Checks rows in order of sequence.</summary>
    /// <param name="rows">All rows of a chain.</param>
    /// <param name="expectedCount">How many there were after the last append.</param>
    public static IntegrityView Verify<TRow>(IReadOnlyList<TRow> rows, long expectedCount)
        where TRow : IChainedRow => Verify(rows, expectedCount, Start, 0);

    /// <summary>Checks rows that follow others which were checked before.</summary>
    /// <param name="rows">The rows of a chain after <paramref name="version"/>, in order of sequence.</param>
    /// <param name="expectedCount">How many there were in all after the last append.</param>
    /// <param name="head">Hash of the last row that was checked.</param>
    /// <param name="version">How many were checked.</param>
    public static IntegrityView Verify<TRow>(IReadOnlyList<TRow> rows, long expectedCount, byte[] head, long version)
        where TRow : IChainedRow
    {
        var previous = head;
        for (var index = 0; index < rows.Count; index++)
        {
            var row = rows[index];
            var expected = version + index + 1;
            var fits = row.Sequence == expected
                && row.PreviousHash.AsSpan().SequenceEqual(previous)
                && row.Hash.AsSpan().SequenceEqual(Next(previous, row.ChainName, row.Sequence, row.Kind, row.Shape, row.TimeTicks, row.Payload));
            if (!fits)
            {
                return new IntegrityView(false, Math.Min(row.Sequence, expected));
            }

            previous = row.Hash;
        }

        var count = version + rows.Count;
        return count < expectedCount ? new IntegrityView(false, count + 1) : new IntegrityView(true, null);
    }
}
