using TeleHearing.Audiology;

namespace TeleHearing.Charts;

/// <summary>Turns frequency and level into places on the chart.</summary>
/// <remarks>One octave is as wide as 20 dB is tall (the audiogram grid of ISO 8253-1 and ASHA 1990, from memory); -10 to 120 dB HL downward, 125 to 8000 Hz on a logarithmic axis.
/// The six extended high frequencies lie within one octave, too near each other for symbols: they stand beyond a break, evenly spaced, and only on charts that have them (a design choice).</remarks>
public static class AudiogramScale
{
    /// <summary>Lowest level drawn, dB HL.</summary>
    public const double TopDbHl = -10;

    /// <summary>Highest level drawn, dB HL.</summary>
    public const double BottomDbHl = 120;

    /// <summary>Lowest frequency drawn, Hz.</summary>
    public const double LowestHz = 125;

    /// <summary>Highest frequency drawn, Hz.</summary>
    public const double HighestHz = 8000;

    /// <summary>Height of one decibel in drawing units.</summary>
    public const double UnitsPerDb = 4;

    /// <summary>Width of one octave in drawing units: that of 20 dB.</summary>
    public const double UnitsPerOctave = 20 * UnitsPerDb;

    /// <summary>Place of 125 Hz.</summary>
    public const double OriginX = 100;

    /// <summary>Place of -10 dB HL.</summary>
    public const double OriginY = 68;

    /// <summary>Space between the outermost frequencies and the frame, so that symbols there do not touch it.</summary>
    public const double SideMargin = 24;

    /// <summary>Distance between neighbours of the extended high frequencies in drawing units.</summary>
    public const double ExtendedSpacing = 46;

    /// <summary>Place of a frequency in Hz of the logarithmic axis across the chart.</summary>
    public static double X(double frequencyHz) => OriginX + (Math.Log2(frequencyHz / LowestHz) * UnitsPerOctave);

    /// <summary>Place of a frequency across the chart.</summary>
    public static double X(AudiometricFrequency frequency) => IsExtended(frequency)
        ? X(HighestHz) + (2 * SideMargin) + (ExtendedSpacing * (0.5 + AudiometricFrequency.ExtendedHigh.Count(lower => lower < frequency)))
        : X((double)frequency.Hertz);

    /// <summary>Whether a frequency is one of the extended high ones, beyond the break of the axis.</summary>
    public static bool IsExtended(AudiometricFrequency frequency) => frequency.Hertz > HighestHz;

    /// <summary>Place of a level in dB HL down the chart; a level beyond the chart is drawn at its edge.</summary>
    public static double Y(double levelDbHl) => OriginY + ((Math.Clamp(levelDbHl, TopDbHl, BottomDbHl) - TopDbHl) * UnitsPerDb);
}
