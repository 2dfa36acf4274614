using ZXing;
using ZXing.Common;
using ZXing.QrCode;

namespace TeleHearing.Clinician.Web.Kits.Scan;

/// <summary>The one place that names the library that reads QR codes (ISO/IEC 18004). It stands apart so that nothing else needs the library to be loaded.</summary>
internal static class QrPicture
{
    private static readonly Dictionary<DecodeHintType, object> _hints = new() { [DecodeHintType.TRY_HARDER] = true };

    /// <summary>The text of a QR code in a picture of one byte a pixel; absent when none is found.</summary>
    public static string? Read(byte[] grey, int width, int height)
    {
        var source = new RGBLuminanceSource(grey, width, height, RGBLuminanceSource.BitmapFormat.Gray8);
        return new QRCodeReader().decode(new BinaryBitmap(new HybridBinarizer(source)), _hints)?.Text;
    }
}
