namespace TeleHearing.Charts;

/// <summary>Turns masker and tone into places. A decibel is as wide as it is tall, so that the slope of an ear that still answers for the other, 1 dB per dB, is a diagonal, and a plateau is level.</summary>
internal sealed class MaskingPlateauScale
{
    /// <summary>Width of the whole drawing.</summary>
    public const double Width = 520;

    /// <summary>Left edge of the plot.</summary>
    public const double Left = 76;

    /// <summary>Right edge of the plot.</summary>
    public const double Right = Width - 22;

    /// <summary>Room at the left for the threshold without a masker.</summary>
    public const double GutterWidth = 60;

    private const double GreatestHeight = 340;
    private const double LeastHeight = 180;
    private const double LeastMaskerSpanDb = 50;
    private const double LeastToneSpanDb = 40;

    // Levels beyond these are never presented; without a bound one wrong number would make the drawing endless.
    private const double LowestDb = -20;
    private const double HighestDb = 130;

    private readonly double _unit;

    private MaskingPlateauScale(double top, double plotLeft, double maskerFrom, double maskerTo, double toneFrom, double toneTo)
    {
        (Top, PlotLeft, MaskerFrom, ToneFrom, ToneTo) = (top, plotLeft, maskerFrom, toneFrom, toneTo);
        _unit = Math.Min((Right - plotLeft) / (maskerTo - maskerFrom), GreatestHeight / (toneTo - toneFrom));
    }

    public double Top { get; }

    /// <summary>Place of the lowest masker level.</summary>
    public double PlotLeft { get; }

    public double MaskerFrom { get; }

    public double MaskerTo => MaskerFrom + ((Right - PlotLeft) / _unit);

    public double ToneFrom { get; }

    public double ToneTo { get; }

    public double Bottom => Top + ((ToneTo - ToneFrom) * _unit);

    public double X(double maskerDbEm) => PlotLeft + ((Math.Clamp(maskerDbEm, MaskerFrom, MaskerTo) - MaskerFrom) * _unit);

    public double Y(double toneDbHl) => Top + ((Math.Clamp(toneDbHl, ToneFrom, ToneTo) - ToneFrom) * _unit);

    /// <summary>The scale on which everything of a plateau finds room.</summary>
    public static MaskingPlateauScale For(MaskingPlateau plateau, PlateauReading reading, double top)
    {
        var maskers = Known([.. reading.Points.Select(point => (double?)point.MaskerDbEm), plateau.MinimumDbEm, plateau.OverMaskingFromDbEm, plateau.Next?.MaskerDbEm]);
        var tones = Known([.. reading.Points.Select(point => (double?)point.ToneDbHl), plateau.UnmaskedDbHl, plateau.Next?.ToneDbHl]);
        var (maskerFrom, maskerTo) = Span(maskers, LeastMaskerSpanDb, 20);
        var (toneFrom, toneTo) = Span(tones, LeastToneSpanDb, 40);
        if (reading.Stand is { } stand)
        {
            // Under the stretch where the tone stood, its level is written.
            toneTo = Math.Max(toneTo, (Math.Ceiling(Math.Clamp(stand.LevelDbHl, LowestDb, HighestDb) / 10) * 10) + 20);
        }

        var plotLeft = Left + (plateau.UnmaskedDbHl is null ? 0 : GutterWidth);
        var unit = (Right - plotLeft) / (maskerTo - maskerFrom);
        while ((toneTo - toneFrom) * unit < LeastHeight)
        {
            toneTo += 10;
        }

        return new MaskingPlateauScale(top, plotLeft, maskerFrom, maskerTo, toneFrom, toneTo);
    }

    private static List<double> Known(IEnumerable<double?> levels) => [.. levels.OfType<double>().Where(double.IsFinite).Select(level => Math.Clamp(level, LowestDb, HighestDb))];

    private static (double From, double To) Span(List<double> levels, double least, double otherwise)
    {
        var from = (Math.Floor((levels.Count == 0 ? otherwise : levels.Min()) / 10) * 10) - 10;
        var to = (Math.Ceiling((levels.Count == 0 ? otherwise : levels.Max()) / 10) * 10) + 10;
        return (from, Math.Max(to, from + least));
    }
}
