using System.Buffers.Binary;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Copies a JPEG file without its metadata segments (ITU-T T.81, annex B), and keeps which way up it is.</summary>
internal static class JpegStrip
{
    private const byte StartOfImage = 0xD8;
    private const byte EndOfImage = 0xD9;
    private const byte StartOfScan = 0xDA;
    private const byte App0 = 0xE0;
    private const byte App1 = 0xE1;
    private const byte App14 = 0xEE;
    private const byte App15 = 0xEF;
    private const byte Comment = 0xFE;

    public static StrippedImage Strip(ReadOnlySpan<byte> file)
    {
        var kept = new List<byte>(file.Length) { 0xFF, StartOfImage };
        var (at, turned, sized, scanned) = (2, false, false, false);
        while (at + 2 <= file.Length)
        {
            if (file[at] != 0xFF)
            {
                return StrippedImage.Damaged(ImageKind.Jpeg);
            }

            var marker = file[at + 1];
            if (marker == 0xFF)
            {
                at++;
                continue;
            }

            if (marker == EndOfImage)
            {
                // Whatever a camera put behind the end (a second picture, a film) stays behind.
                kept.AddRange([0xFF, EndOfImage]);
                return sized && scanned ? new StrippedImage(ImageKind.Jpeg, [.. kept], null) : StrippedImage.Damaged(ImageKind.Jpeg);
            }

            if (at + 4 > file.Length)
            {
                break;
            }

            var length = BinaryPrimitives.ReadUInt16BigEndian(file[(at + 2)..]);
            if (length < 2 || at + 2 + length > file.Length)
            {
                break;
            }

            var segment = file.Slice(at, 2 + length);
            if (IsFrame(marker))
            {
                if (length < 8 || !ImageFile.HasSize(BinaryPrimitives.ReadUInt16BigEndian(segment[7..]), BinaryPrimitives.ReadUInt16BigEndian(segment[5..])))
                {
                    return new StrippedImage(ImageKind.Jpeg, [], $"The picture is larger than {ImageFile.LargestSide} pixels a side, or has no size.");
                }

                sized = true;
            }

            if (Stays(marker, segment[4..]))
            {
                kept.AddRange(segment);
            }
            else if (marker == App1 && !turned && ExifOrientation.Of(segment[4..]) is { } orientation)
            {
                kept.AddRange(ExifOrientation.Segment(orientation));
                turned = true;
            }

            at += segment.Length;
            if (marker == StartOfScan)
            {
                scanned = true;
                var end = EndOfScan(file, at);
                kept.AddRange(file[at..end]);
                at = end;
            }
        }

        return StrippedImage.Damaged(ImageKind.Jpeg);
    }

    /// <summary>Coded data ends at the first marker that is neither a stuffed byte nor a restart.</summary>
    private static int EndOfScan(ReadOnlySpan<byte> file, int from)
    {
        for (var at = from; at + 1 < file.Length; at++)
        {
            if (file[at] == 0xFF && file[at + 1] is not 0x00 and not (>= 0xD0 and <= 0xD7) and not 0xFF)
            {
                return at;
            }
        }

        return file.Length;
    }

    private static bool IsFrame(byte marker) => marker is >= 0xC0 and <= 0xCF and not 0xC4 and not 0xC8 and not 0xCC;

    // Kept are the plain header and the mark that tells how colours were coded; a header with a small picture inside, comments and all else of the makers goes.
    private static bool Stays(byte marker, ReadOnlySpan<byte> content) => marker switch
    {
        App0 => content.StartsWith("JFIF\0"u8) && content.Length == 14,
        App14 => content.StartsWith("Adobe"u8),
        >= App0 and <= App15 or Comment => false,
        _ => true,
    };
}
