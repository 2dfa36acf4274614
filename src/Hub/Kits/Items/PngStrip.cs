using System.Buffers.Binary;
using System.Text;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Copies a PNG file with only the chunks that draw it (W3C PNG, third edition, clause 11).</summary>
internal static class PngStrip
{
    private static readonly HashSet<string> _stays = new(StringComparer.Ordinal) { "IHDR", "PLTE", "IDAT", "IEND", "tRNS", "gAMA", "cHRM", "sRGB", "sBIT", "bKGD", "pHYs" };

    public static StrippedImage Strip(ReadOnlySpan<byte> file)
    {
        const int Signature = 8;
        const int Around = 12;
        var kept = new List<byte>(file.Length);
        kept.AddRange(file[..Signature]);
        var (at, first, drawn) = (Signature, true, false);
        while (at + Around <= file.Length)
        {
            var length = BinaryPrimitives.ReadUInt32BigEndian(file[at..]);
            if (length > file.Length - at - Around)
            {
                break;
            }

            var kind = Encoding.ASCII.GetString(file.Slice(at + 4, 4));
            var chunk = file.Slice(at, (int)length + Around);
            if (first != (kind == "IHDR"))
            {
                break;
            }

            if (first && (length != 13 || !ImageFile.HasSize(BinaryPrimitives.ReadInt32BigEndian(chunk[8..]), BinaryPrimitives.ReadInt32BigEndian(chunk[12..]))))
            {
                return new StrippedImage(ImageKind.Png, [], $"The picture is larger than {ImageFile.LargestSide} pixels a side, or has no size.");
            }

            if (_stays.Contains(kind))
            {
                kept.AddRange(chunk);
            }

            if (kind == "IEND")
            {
                return drawn ? new StrippedImage(ImageKind.Png, [.. kept], null) : StrippedImage.Damaged(ImageKind.Png);
            }

            (first, drawn) = (false, drawn || kind == "IDAT");
            at += chunk.Length;
        }

        return StrippedImage.Damaged(ImageKind.Png);
    }
}
