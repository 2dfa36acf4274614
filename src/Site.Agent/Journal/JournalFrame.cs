using System.Buffers.Binary;
using System.Security.Cryptography;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Journal;

/// <summary>One sealed entry as it lies in the journal file.</summary>
/// <remarks>
/// Layout, little-endian: length of the body (4 bytes), CRC-32 of the body (4), body = sequence (8), nonce (12), ciphertext, tag (16).
/// The cipher is AES-256-GCM; journal id and sequence are bound to it as associated data, so that entries can be neither swapped nor moved between journals.
/// </remarks>
internal static class JournalFrame
{
    public const int PrefixBytes = 8;
    private const int SequenceBytes = 8;
    private const int NonceBytes = 12;
    private const int TagBytes = 16;
    private const int LeastBodyBytes = SequenceBytes + NonceBytes + TagBytes;

    /// <summary>No entry is near this; a longer one is damage.</summary>
    private const int LongestBodyBytes = 8 * 1024 * 1024;

    /// <summary>Seals a plain entry.</summary>
    public static byte[] Seal(AesGcm cipher, JournalId journal, long sequence, ReadOnlySpan<byte> plain)
    {
        var frame = new byte[PrefixBytes + LeastBodyBytes + plain.Length];
        var body = frame.AsSpan(PrefixBytes);
        var nonce = body.Slice(SequenceBytes, NonceBytes);
        BinaryPrimitives.WriteInt64LittleEndian(body, sequence);
        RandomNumberGenerator.Fill(nonce);
        cipher.Encrypt(nonce, plain, body.Slice(SequenceBytes + NonceBytes, plain.Length), body[^TagBytes..], Bound(journal, sequence));
        BinaryPrimitives.WriteInt32LittleEndian(frame, body.Length);
        BinaryPrimitives.WriteUInt32LittleEndian(frame.AsSpan(4), Crc32.Of(body));
        return frame;
    }

    /// <summary>Opens a body. Fails with <see cref="AuthenticationTagMismatchException"/> when key, journal or content is another.</summary>
    public static byte[] Open(AesGcm cipher, JournalId journal, ReadOnlySpan<byte> body)
    {
        var sequence = BinaryPrimitives.ReadInt64LittleEndian(body);
        var plain = new byte[body.Length - LeastBodyBytes];
        cipher.Decrypt(
            body.Slice(SequenceBytes, NonceBytes),
            body.Slice(SequenceBytes + NonceBytes, plain.Length),
            body[^TagBytes..],
            plain,
            Bound(journal, sequence));
        return plain;
    }

    /// <summary>Sequence of a body.</summary>
    public static long SequenceOf(ReadOnlySpan<byte> body) => BinaryPrimitives.ReadInt64LittleEndian(body);

    /// <summary>Splits a file into bodies. Stops at the first frame that is torn or damaged and says where the sound part ends.</summary>
    public static (IReadOnlyList<byte[]> Bodies, long SoundLength) Split(ReadOnlySpan<byte> file)
    {
        var bodies = new List<byte[]>();
        var place = 0;
        while (file.Length - place >= PrefixBytes)
        {
            var length = BinaryPrimitives.ReadInt32LittleEndian(file[place..]);
            if (length is < LeastBodyBytes or > LongestBodyBytes || file.Length - place - PrefixBytes < length)
            {
                break;
            }

            var body = file.Slice(place + PrefixBytes, length);
            var follows = bodies.Count == 0 || SequenceOf(body) == SequenceOf(bodies[^1]) + 1;
            if (Crc32.Of(body) != BinaryPrimitives.ReadUInt32LittleEndian(file[(place + 4)..]) || !follows)
            {
                break;
            }

            bodies.Add(body.ToArray());
            place += PrefixBytes + length;
        }

        return (bodies, place);
    }

    private static byte[] Bound(JournalId journal, long sequence)
    {
        var bound = new byte[16 + SequenceBytes];
        journal.Value.TryWriteBytes(bound);
        BinaryPrimitives.WriteInt64LittleEndian(bound.AsSpan(16), sequence);
        return bound;
    }
}
