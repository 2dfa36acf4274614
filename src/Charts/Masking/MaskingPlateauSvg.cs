namespace TeleHearing.Charts;

/// <summary>A masked threshold as a file.</summary>
public static class MaskingPlateauSvg
{
    /// <summary>The chart as a well-formed SVG document that needs nothing beside it.</summary>
    public static string Render(MaskingPlateau plateau) => SvgText.Write(MaskingPlateauLayout.Draw(plateau));
}
