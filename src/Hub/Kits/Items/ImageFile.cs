namespace TeleHearing.Hub.Kits.Items;

/// <summary>A kind of picture that is kept.</summary>
internal enum ImageKind
{
    Jpeg,
    Png,
    Webp,
}

/// <summary>A picture without what it says about place, camera and time, or why it cannot be kept.</summary>
/// <param name="Kind">Kind, by its first bytes.</param>
/// <param name="Bytes">The picture; empty when it is refused.</param>
/// <param name="Fault">Why it is refused, as a sentence.</param>
internal sealed record StrippedImage(ImageKind Kind, byte[] Bytes, string? Fault)
{
    public static StrippedImage Damaged(ImageKind kind) => new(kind, [], "The picture is damaged or cut off. Take it again.");
}

/// <summary>Recognises pictures by their first bytes and takes metadata out of them, without decoding the picture itself.</summary>
/// <remarks>
/// A photo taken with a phone says where it was taken (Exif, CIPA DC-008). Only what is needed to draw the picture is copied, by a list of
/// what may stay: what a format may carry tomorrow is dropped without being known.
/// </remarks>
internal static class ImageFile
{
    /// <summary>Widest and highest picture, pixels (design): a phone takes about 8000.</summary>
    public const int LargestSide = 12_000;

    /// <summary>Takes metadata out of a picture.</summary>
    public static StrippedImage Strip(ReadOnlySpan<byte> file) => KindOf(file) switch
    {
        ImageKind.Jpeg => JpegStrip.Strip(file),
        ImageKind.Png => PngStrip.Strip(file),
        ImageKind.Webp => WebpStrip.Strip(file),
        _ => new StrippedImage(default, [], "This is not a picture that can be kept. Use a JPEG, PNG or WebP file."),
    };

    /// <summary>Kind of a file by its first bytes; absent when it is none that is kept.</summary>
    public static ImageKind? KindOf(ReadOnlySpan<byte> file) =>
        file.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) ? ImageKind.Jpeg
        : file.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A]) ? ImageKind.Png
        : file.Length >= 12 && file.StartsWith("RIFF"u8) && file[8..12].SequenceEqual("WEBP"u8) ? ImageKind.Webp
        : null;

    /// <summary>Ending of a kept file's name.</summary>
    public static string Ending(ImageKind kind) => kind switch
    {
        ImageKind.Jpeg => ".jpg",
        ImageKind.Png => ".png",
        _ => ".webp",
    };

    /// <summary>Media type a kept file is served with.</summary>
    public static string MediaType(ImageKind kind) => kind switch
    {
        ImageKind.Jpeg => "image/jpeg",
        ImageKind.Png => "image/png",
        _ => "image/webp",
    };

    /// <summary>Whether a picture has a size that can be shown.</summary>
    public static bool HasSize(int width, int height) => width is > 0 and <= LargestSide && height is > 0 and <= LargestSide;
}
