using System.Buffers;
using System.Buffers.Binary;
using System.Buffers.Text;
using System.Security.Cryptography;

namespace TeleHearing.Links;

/// <summary>Which way a record goes. Part of what is sealed, so that nothing fits when it is sent back.</summary>
public enum LinkDirection : byte
{
    /// <summary>From console or kit to the hub.</summary>
    ToHub = 1,

    /// <summary>From the hub.</summary>
    FromHub = 2,
}

/// <summary>Seals the records of one direction of one connection, or opens them.</summary>
/// <remarks>
/// A record of SignalR's JSON protocol ends with 0x1E. Sealed, it is: the record, 0x1F, its number from 0, a dot, 22 signs of base64url, 0x1E. The signs are the first 16 bytes of
/// HMAC-SHA-256 (RFC 2104, truncated as its section 5 allows) over direction, number and record. Neither separator can stand inside JSON text (RFC 8259 section 7). One thread at a time.
/// </remarks>
public sealed class LinkSeal : IDisposable
{
    /// <summary>End of a record (SignalR's hub protocol).</summary>
    public const byte RecordEnd = 0x1E;

    /// <summary>Between a record and its seal.</summary>
    public const byte SealStart = 0x1F;

    /// <summary>Longest seal with both separators, bytes: 1 + 19 digits + 1 + 22 + 1.</summary>
    public const int LongestSeal = 44;

    private const int TagBytes = 16;
    private const int TagSigns = 22;

    private readonly IncrementalHash _hash;
    private readonly LinkDirection _direction;
    private long _next;

    /// <param name="key">The connection's key.</param>
    /// <param name="direction">Which way the records go.</param>
    public LinkSeal(ReadOnlySpan<byte> key, LinkDirection direction)
    {
        _hash = IncrementalHash.CreateHMAC(HashAlgorithmName.SHA256, key);
        _direction = direction;
    }

    /// <summary>Writes a record with its seal and its end.</summary>
    /// <param name="record">The record without its end.</param>
    /// <param name="into">Where to.</param>
    public void Seal(ReadOnlySpan<byte> record, IBufferWriter<byte> into)
    {
        ArgumentNullException.ThrowIfNull(into);
        into.Write(record);
        var seal = into.GetSpan(LongestSeal);
        seal[0] = SealStart;
        Utf8Formatter.TryFormat(_next, seal[1..], out var digits);
        seal[1 + digits] = (byte)'.';
        _hash.AppendData(record);
        Tag(_next, seal.Slice(2 + digits, TagSigns));
        seal[2 + digits + TagSigns] = RecordEnd;
        into.Advance(3 + digits + TagSigns);
        _next++;
    }

    /// <summary>Writes the record inside a sealed one, with its end.</summary>
    /// <param name="record">The sealed record without its end.</param>
    /// <param name="into">Where to.</param>
    /// <exception cref="LinkFaultException">It did not come as it was sent; nothing was written.</exception>
    public void Open(in ReadOnlySequence<byte> record, IBufferWriter<byte> into)
    {
        ArgumentNullException.ThrowIfNull(into);
        Span<byte> last = stackalloc byte[LongestSeal];
        var tail = record.Slice(Math.Max(0, record.Length - LongestSeal));
        last = last[..(int)tail.Length];
        tail.CopyTo(last);
        var at = last.LastIndexOf(SealStart);
        if (at < 0 || !TryRead(last[(at + 1)..], out var number, out var claimed))
        {
            throw new LinkFaultException(LinkDefence.Form, _next);
        }

        var body = record.Slice(0, record.Length - (last.Length - at));
        foreach (var part in body)
        {
            _hash.AppendData(part.Span);
        }

        Span<byte> tag = stackalloc byte[TagSigns];
        Tag(number, tag);

        // Compared as signs, not as bytes: the last sign of base64url has bits that stand for nothing.
        if (!CryptographicOperations.FixedTimeEquals(tag, claimed))
        {
            throw new LinkFaultException(LinkDefence.Tag, _next);
        }

        if (number != _next)
        {
            throw new LinkFaultException(LinkDefence.Sequence, _next);
        }

        _next++;
        foreach (var part in body)
        {
            into.Write(part.Span);
        }

        into.Write([RecordEnd]);
    }

    public void Dispose() => _hash.Dispose();

    private static bool TryRead(ReadOnlySpan<byte> seal, out long number, out ReadOnlySpan<byte> tag)
    {
        number = 0;
        tag = default;
        if (seal.IndexOf((byte)'.') is not (> 0 and var dot) || seal.Length - dot - 1 != TagSigns || (dot > 1 && seal[0] == '0'))
        {
            return false;
        }

        tag = seal[(dot + 1)..];
        return !seal[..dot].ContainsAnyExceptInRange((byte)'0', (byte)'9') && Utf8Parser.TryParse(seal[..dot], out number, out var read) && read == dot;
    }

    /// <summary>Ends what was appended with direction and number, and writes the tag.</summary>
    private void Tag(long number, Span<byte> signs)
    {
        Span<byte> place = stackalloc byte[9];
        place[0] = (byte)_direction;
        BinaryPrimitives.WriteInt64BigEndian(place[1..], number);
        _hash.AppendData(place);
        Span<byte> whole = stackalloc byte[LinkKey.Bytes];
        _hash.GetHashAndReset(whole);
        Base64Url.EncodeToUtf8(whole[..TagBytes], signs);
    }
}
