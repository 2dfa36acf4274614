namespace TeleHearing.Charts;

/// <summary>How the strokes of a symbol are drawn.</summary>
/// <param name="Colour">Colour.</param>
/// <param name="Width">Width.</param>
/// <param name="Broken">Whether they are broken into dashes, as those of an estimate are.</param>
/// <param name="SquareEnds">Whether open ends reach beyond by half the width, so that a thinner stroke upon it leaves an outline that is closed.</param>
internal sealed record Pen(string Colour, double Width, bool Broken = false, bool SquareEnds = false)
{
    /// <summary>The element drawn with this pen.</summary>
    public SvgElement On(SvgElement element, IEnumerable<double> dashes)
    {
        var drawn = element.With("stroke", Colour).With("stroke-width", Width);
        drawn = Broken ? drawn.With("stroke-dasharray", SvgElement.Lengths(dashes)) : drawn;
        return SquareEnds ? drawn.With("stroke-linecap", "square") : drawn;
    }
}
