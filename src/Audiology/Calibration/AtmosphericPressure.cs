using System.Globalization;

namespace TeleHearing.Audiology.Calibration;

/// <summary>Static air pressure at a place, and whether a calibration made elsewhere still holds there.</summary>
/// <remarks>
/// An earphone and its coupler are specified from 98 to 104 kPa (IEC 60645-1:2017, 5.3). Outside that the gear is calibrated at the place, or corrected.
/// A place's pressure is measured, or taken from its altitude by the standard atmosphere: p = 101.325 (1 - 2.25577e-5 h)^5.25588 kPa, h in metres.
/// The weather moves it by 2 to 3 kPa either way, so a value from the altitude alone is only near the truth.
/// </remarks>
public static class AtmosphericPressure
{
    /// <summary>Lowest pressure at which gear is specified, kPa (IEC 60645-1:2017, 5.3).</summary>
    public const double LowestOperatingKPa = 98;

    /// <summary>Highest pressure at which gear is specified, kPa (IEC 60645-1:2017, 5.3).</summary>
    public const double HighestOperatingKPa = 104;

    /// <summary>Lowest believable pressure, kPa: about 4000 m. A design limit that catches hectopascals and altitudes typed by mistake.</summary>
    public const double LowestBelievableKPa = 60;

    /// <summary>Highest believable pressure, kPa: a little above the highest ever measured at sea level. A design limit.</summary>
    public const double HighestBelievableKPa = 110;

    /// <summary>Lowest believable altitude, m (design).</summary>
    public const double LowestAltitudeM = -450;

    /// <summary>Highest believable altitude, m (design).</summary>
    public const double HighestAltitudeM = 4000;

    private const double SeaLevelKPa = 101.325;
    private const double LapsePerMetre = 2.25577e-5;
    private const double Exponent = 5.25588;

    /// <summary>Pressure of the standard atmosphere at an altitude.</summary>
    /// <param name="altitudeM">Altitude above sea level, m.</param>
    /// <returns>kPa; not a number when the altitude is none or is above the formula's reach.</returns>
    public static double AtAltitudeKPa(double altitudeM) => SeaLevelKPa * Math.Pow(1 - (LapsePerMetre * altitudeM), Exponent);

    /// <summary>Altitude at which the standard atmosphere has a pressure.</summary>
    /// <param name="pressureKPa">Pressure, kPa.</param>
    /// <returns>m above sea level.</returns>
    public static double AltitudeM(double pressureKPa) => (1 - Math.Pow(pressureKPa / SeaLevelKPa, 1 / Exponent)) / LapsePerMetre;

    /// <summary>Whether gear is specified at a pressure.</summary>
    public static bool IsOperating(double pressureKPa) => pressureKPa is >= LowestOperatingKPa and <= HighestOperatingKPa;

    /// <summary>What is wrong with a pressure or altitude someone gives, of which exactly one is wanted; absent when nothing is.</summary>
    public static string? Fault(double? pressureKPa, double? altitudeM) => (pressureKPa, altitudeM) switch
    {
        (null, null) => "Give the air pressure in kPa or the altitude in metres.",
        ({ }, { }) => "Give the air pressure or the altitude, not both: the two may contradict each other.",
        ({ } pressure, null) when !(pressure is >= LowestBelievableKPa and <= HighestBelievableKPa) =>
            string.Create(CultureInfo.InvariantCulture, $"An air pressure of {pressure} kPa cannot be right ({LowestBelievableKPa} to {HighestBelievableKPa} kPa; 1013 hPa are 101.3 kPa)."),
        (null, { } altitude) when !(altitude is >= LowestAltitudeM and <= HighestAltitudeM) =>
            string.Create(CultureInfo.InvariantCulture, $"An altitude of {altitude} m cannot be right ({LowestAltitudeM} to {HighestAltitudeM} m)."),
        _ => null,
    };

    /// <summary>The pressure meant by one of the two, kPa.</summary>
    /// <exception cref="ArgumentException">Neither is given, both are, or the one given cannot be right.</exception>
    public static double Of(double? pressureKPa, double? altitudeM) =>
        Fault(pressureKPa, altitudeM) is { } fault ? throw new ArgumentException(fault) : pressureKPa ?? AtAltitudeKPa(altitudeM!.Value);

    /// <summary>Why a pressure is outside the range gear is specified for, and what to do; absent inside.</summary>
    public static string? Caution(double pressureKPa) => IsOperating(pressureKPa)
        ? null
        : string.Create(
            CultureInfo.InvariantCulture,
            $"The air pressure is {pressureKPa:0.0} kPa, as at {AltitudeM(pressureKPa):0} m in the standard atmosphere: outside {LowestOperatingKPa} to {HighestOperatingKPa} kPa. Have the gear calibrated at this place, or its levels corrected for it (IEC 60645-1:2017, 5.3).");
}
