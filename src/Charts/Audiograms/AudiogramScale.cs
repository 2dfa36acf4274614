using TeleHearing.Audiology;

namespace TeleHearing.Charts;

/// <summary>Turns frequency and level into places on the chart.</summary>
/// <remarks>One octave is as wide as 20 dB is tall (the audiogram grid of ISO 8253-1 and ASHA 1990, from memory); -10 to 120 dB HL downward, 125 to 8000 Hz on a logarithmic axis.</remarks>
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

    /// <summary>Place of a frequency in Hz across the chart.</summary>
    public static double X(double frequencyHz) => OriginX + (Math.Log2(frequencyHz / LowestHz) * UnitsPerOctave);

    /// <summary>Place of a frequency across the chart.</summary>
    public static double X(AudiometricFrequency frequency) => X((double)frequency.Hertz);

    /// <summary>Place of a level in dB HL down the chart; a level beyond the chart is drawn at its edge.</summary>
    public static double Y(double levelDbHl) => OriginY + ((Math.Clamp(levelDbHl, TopDbHl, BottomDbHl) - TopDbHl) * UnitsPerDb);
}
