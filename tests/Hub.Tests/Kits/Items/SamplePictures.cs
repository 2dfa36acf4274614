using System.Buffers.Binary;
using System.Text;

namespace TeleHearing.Hub.Tests.Kits.Items;

/// <summary>Small pictures put together by hand from the formats' own descriptions (ITU-T T.81; CIPA DC-008; W3C PNG; RFC 9649), with a place in every part that can hold one.</summary>
internal static class SamplePictures
{
    /// <summary>Coded data with a stuffed byte and a restart mark in it.</summary>
    public static byte[] Scan { get; } = [0x12, 0xFF, 0x00, 0x34, 0xFF, 0xD0, 0x56, 0x78];

    public static byte[] Jpeg(string secret, byte orientation, bool behind = true)
    {
        byte[] text = Encoding.Latin1.GetBytes(secret);
        byte[] exif =
        [
            .. "Exif\0\0"u8, .. "II"u8, 0x2A, 0x00, 0x08, 0x00, 0x00, 0x00,
            0x02, 0x00,
            0x12, 0x01, 0x03, 0x00, 0x01, 0x00, 0x00, 0x00, orientation, 0x00, 0x00, 0x00,
            0x25, 0x88, 0x04, 0x00, 0x01, 0x00, 0x00, 0x00, 0x26, 0x00, 0x00, 0x00,
            0x00, 0x00, 0x00, 0x00, .. text,
        ];
        return
        [
            0xFF, 0xD8,
            .. Segment(0xE0, [.. "JFIF\0"u8, 1, 1, 0, 0, 1, 0, 1, 0, 0]),
            .. Segment(0xE1, exif),
            .. Segment(0xE1, [.. "http://ns.adobe.com/xap/1.0/\0"u8, .. text]),
            .. Segment(0xED, text),
            .. Segment(0xFE, [.. "comment "u8, .. text]),
            .. Segment(0xDB, new byte[65]),
            .. Segment(0xC0, [8, 0, 16, 0, 16, 1, 1, 0x11, 0]),
            .. Segment(0xDA, [1, 1, 0, 0, 63, 0]),
            .. Scan,
            0xFF, 0xD9,
            .. behind ? [.. "second picture "u8, .. text] : Array.Empty<byte>(),
        ];
    }

    public static byte[] Png(string secret) =>
    [
        0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A,
        .. Chunk("IHDR", [0, 0, 0, 16, 0, 0, 0, 16, 8, 2, 0, 0, 0]),
        .. Chunk("tEXt", Encoding.Latin1.GetBytes("Comment\0" + secret)),
        .. Chunk("eXIf", Encoding.Latin1.GetBytes(secret)),
        .. Chunk("IDAT", [1, 2, 3, 4]),
        .. Chunk("IEND", []),
    ];

    public static byte[] Webp(string secret)
    {
        byte[] body =
        [
            .. "WEBP"u8,
            .. Riff("VP8X", [0x0C, 0, 0, 0, 15, 0, 0, 15, 0, 0]),
            .. Riff("VP8 ", [1, 2, 3, 4, 5]),
            .. Riff("EXIF", Encoding.Latin1.GetBytes(secret)),
            .. Riff("XMP ", Encoding.Latin1.GetBytes(secret)),
        ];
        return [.. "RIFF"u8, .. Little(body.Length), .. body];
    }

    public static IReadOnlyList<string> Chunks(ReadOnlySpan<byte> png)
    {
        var names = new List<string>();
        for (var at = 8; at + 12 <= png.Length;)
        {
            names.Add(Encoding.ASCII.GetString(png.Slice(at + 4, 4)));
            at += BinaryPrimitives.ReadInt32BigEndian(png[at..]) + 12;
        }

        return names;
    }

    private static byte[] Segment(byte marker, byte[] content) => [0xFF, marker, (byte)((content.Length + 2) >> 8), (byte)(content.Length + 2), .. content];

    // The checks of chunks are not looked at: what draws a picture is the browser's to judge.
    private static byte[] Chunk(string name, byte[] content) => [0, 0, (byte)(content.Length >> 8), (byte)content.Length, .. Encoding.ASCII.GetBytes(name), .. content, 0, 0, 0, 0];

    private static byte[] Riff(string name, byte[] content) => [.. Encoding.ASCII.GetBytes(name), .. Little(content.Length), .. content, .. new byte[content.Length & 1]];

    private static byte[] Little(int value) => [(byte)value, (byte)(value >> 8), (byte)(value >> 16), (byte)(value >> 24)];
}
