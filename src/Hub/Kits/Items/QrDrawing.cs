using System.Globalization;
using System.Text;
using QRCoder;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Draws a QR code (ISO/IEC 18004) as an SVG of whole squares, with the quiet zone of four modules around it that the standard asks for.</summary>
internal static class QrDrawing
{
    /// <summary>The drawing.</summary>
    /// <param name="text">Text: capital letters, digits and hyphens make the smallest code.</param>
    /// <param name="alternative">What it is, for those who do not see it.</param>
    /// <remarks>Error correction M: a label on a case is scratched and wiped, and may lose about 15 % of its squares.</remarks>
    public static string Svg(string text, string alternative)
    {
        using var code = QRCodeGenerator.GenerateQrCode(text, QRCodeGenerator.ECCLevel.M);
        var modules = code.ModuleMatrix;
        var path = new StringBuilder();
        for (var row = 0; row < modules.Count; row++)
        {
            for (var column = 0; column < modules.Count; column++)
            {
                if (modules[row][column])
                {
                    path.Append(CultureInfo.InvariantCulture, $"M{column} {row}h1v1h-1z");
                }
            }
        }

        return string.Create(
            CultureInfo.InvariantCulture,
            $"<svg class=\"qr\" viewBox=\"0 0 {modules.Count} {modules.Count}\" role=\"img\" aria-label=\"{System.Text.Encodings.Web.HtmlEncoder.Default.Encode(alternative)}\" shape-rendering=\"crispEdges\"><path d=\"{path}\"/></svg>");
    }
}
