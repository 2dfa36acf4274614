namespace TeleHearing.Charts;

/// <summary>An audiogram as a file.</summary>
public static class AudiogramSvg
{
    /// <summary>The audiogram as a well-formed SVG document that needs nothing beside it.</summary>
    public static string Render(Audiogram audiogram) => SvgText.Write(AudiogramLayout.Draw(audiogram));
}
