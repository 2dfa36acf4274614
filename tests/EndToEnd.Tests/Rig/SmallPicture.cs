using System.Buffers.Binary;
using System.IO.Compression;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Makes a picture of one colour (W3C PNG, third edition: 8 bits of grey).</summary>
internal static class SmallPicture
{
    private const int Side = 8;

    /// <param name="grey">Its colour, so that two pictures differ.</param>
    public static byte[] Png(byte grey)
    {
        using var packed = new MemoryStream();
        using (var zlib = new ZLibStream(packed, CompressionLevel.Optimal, leaveOpen: true))
        {
            byte[] line = [0, .. Enumerable.Repeat(grey, Side)];
            for (var y = 0; y < Side; y++)
            {
                zlib.Write(line);
            }
        }

        return
        [
            0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A,
            .. Chunk("IHDR"u8, [0, 0, 0, Side, 0, 0, 0, Side, 8, 0, 0, 0, 0]),
            .. Chunk("IDAT"u8, packed.ToArray()),
            .. Chunk("IEND"u8, []),
        ];
    }

    private static byte[] Chunk(ReadOnlySpan<byte> kind, byte[] data)
    {
        byte[] body = [.. kind, .. data];
        var chunk = new byte[8 + body.Length];
        BinaryPrimitives.WriteInt32BigEndian(chunk, data.Length);
        body.CopyTo(chunk, 4);
        BinaryPrimitives.WriteUInt32BigEndian(chunk.AsSpan(4 + body.Length), Crc(body));
        return chunk;
    }

    private static uint Crc(byte[] bytes)
    {
        var crc = uint.MaxValue;
        foreach (var one in bytes)
        {
            crc ^= one;
            for (var bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) == 1 ? (crc >> 1) ^ 0xEDB88320 : crc >> 1;
            }
        }

        return ~crc;
    }
}
