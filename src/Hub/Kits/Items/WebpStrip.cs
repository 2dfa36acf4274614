using System.Buffers.Binary;
using System.Text;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Copies a WebP file with only the chunks that draw a still picture (RFC 9649, section 2).</summary>
internal static class WebpStrip
{
    /// <summary>Flags of the extended header that announce an ICC profile, Exif, XMP and an animation.</summary>
    private const byte ColourProfile = 0x20;
    private const byte Exif = 0x08;
    private const byte Xmp = 0x04;
    private const byte Animation = 0x02;

    public static StrippedImage Strip(ReadOnlySpan<byte> file)
    {
        const int Header = 12;
        var end = (long)BinaryPrimitives.ReadUInt32LittleEndian(file[4..]) + 8;
        if (end > file.Length)
        {
            return StrippedImage.Damaged(ImageKind.Webp);
        }

        var kept = new List<byte>(file.Length);
        kept.AddRange(file[..Header]);
        var (at, drawn) = (Header, false);
        while (at + 8 <= end)
        {
            var length = BinaryPrimitives.ReadUInt32LittleEndian(file[(at + 4)..]);
            var whole = 8 + (long)length + (length & 1);
            if (at + 8 + length > end)
            {
                return StrippedImage.Damaged(ImageKind.Webp);
            }

            var kind = Encoding.ASCII.GetString(file.Slice(at, 4));
            var chunk = file.Slice(at, (int)Math.Min(whole, file.Length - at));
            switch (kind)
            {
                case "VP8X" when length >= 10:
                    if ((chunk[8] & Animation) != 0)
                    {
                        return new StrippedImage(ImageKind.Webp, [], "This is a moving picture. Take a still photo.");
                    }

                    if (!ImageFile.HasSize(1 + Three(chunk, 12), 1 + Three(chunk, 15)))
                    {
                        return new StrippedImage(ImageKind.Webp, [], $"The picture is larger than {ImageFile.LargestSide} pixels a side, or has no size.");
                    }

                    var header = chunk.ToArray();
                    header[8] &= unchecked((byte)~(ColourProfile | Exif | Xmp));
                    kept.AddRange(header);
                    break;
                case "VP8 " or "VP8L":
                    kept.AddRange(chunk);
                    drawn = true;
                    break;
                case "ALPH":
                    kept.AddRange(chunk);
                    break;
            }

            at += (int)whole;
        }

        if (!drawn)
        {
            return StrippedImage.Damaged(ImageKind.Webp);
        }

        var bytes = kept.ToArray();
        BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(4), (uint)(bytes.Length - 8));
        return new StrippedImage(ImageKind.Webp, bytes, null);
    }

    private static int Three(ReadOnlySpan<byte> chunk, int at) => chunk[at] | (chunk[at + 1] << 8) | (chunk[at + 2] << 16);
}
