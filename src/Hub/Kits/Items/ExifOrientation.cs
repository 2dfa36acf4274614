using System.Buffers.Binary;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Which way up a photo is: the one thing of its metadata that is needed to look at it (Exif tag 0x0112, CIPA DC-008).</summary>
internal static class ExifOrientation
{
    private const ushort Tag = 0x0112;
    private const ushort ShortType = 3;

    /// <summary>The orientation in the content of an APP1 segment, 2 to 8; absent when there is none or the picture stands upright.</summary>
    public static byte? Of(ReadOnlySpan<byte> content)
    {
        const int Header = 6;
        if (content.Length < Header + 8 || !content.StartsWith("Exif\0\0"u8))
        {
            return null;
        }

        var tiff = content[Header..];
        var little = tiff.StartsWith("II"u8);
        if (!little && !tiff.StartsWith("MM"u8))
        {
            return null;
        }

        var first = Long(tiff, 4, little);
        if (first > tiff.Length - 2)
        {
            return null;
        }

        var entries = Short(tiff, (int)first, little);
        for (var index = 0; index < entries; index++)
        {
            var at = (int)first + 2 + (index * 12);
            if (at + 12 > tiff.Length)
            {
                return null;
            }

            if (Short(tiff, at, little) == Tag)
            {
                return Short(tiff, at + 8, little) is >= 2 and <= 8 and var value ? (byte)value : null;
            }
        }

        return null;
    }

    /// <summary>An APP1 segment that says nothing but the orientation.</summary>
    public static byte[] Segment(byte orientation) =>
    [
        0xFF, 0xE1, 0x00, 0x22,
        .. "Exif\0\0"u8,
        .. "MM"u8, 0x00, 0x2A, 0x00, 0x00, 0x00, 0x08,
        0x00, 0x01,
        (byte)(Tag >> 8), Tag & 0xFF, 0x00, (byte)ShortType, 0x00, 0x00, 0x00, 0x01, 0x00, orientation, 0x00, 0x00,
        0x00, 0x00, 0x00, 0x00,
    ];

    private static ushort Short(ReadOnlySpan<byte> tiff, int at, bool little) =>
        little ? BinaryPrimitives.ReadUInt16LittleEndian(tiff[at..]) : BinaryPrimitives.ReadUInt16BigEndian(tiff[at..]);

    private static uint Long(ReadOnlySpan<byte> tiff, int at, bool little) =>
        little ? BinaryPrimitives.ReadUInt32LittleEndian(tiff[at..]) : BinaryPrimitives.ReadUInt32BigEndian(tiff[at..]);
}
