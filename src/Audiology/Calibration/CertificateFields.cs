using System.Globalization;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>The fields above the table of a certificate file.</summary>
internal static class CertificateFields
{
    public const string CertificateId = "certificate_id";
    public const string Laboratory = "laboratory";
    public const string CalibratedOn = "calibrated_on";
    public const string ValidUntil = "valid_until";
    public const string UnitSerial = "unit_serial";
    public const string TransducerSerial = "transducer_serial";
    public const string Kind = "transducer_kind";
    public const string Coupler = "coupler";
    public const string Temperature = "temperature_c";
    public const string Pressure = "pressure_kpa";
    public const string Altitude = "altitude_m";
    public const string Site = "site";

    /// <summary>Longest value of a field, characters (design).</summary>
    private const int LongestValue = 200;

    /// <summary>Believable temperatures of a laboratory, degrees Celsius (design): wide, it catches an empty cell and degrees Fahrenheit.</summary>
    private const double LowestTemperatureC = 5;
    private const double HighestTemperatureC = 45;

    private static readonly string[] _needed = [CertificateId, Laboratory, CalibratedOn, ValidUntil, UnitSerial, TransducerSerial, Kind, Coupler, Temperature];
    private static readonly string[] _other = [Pressure, Altitude, Site];

    /// <summary>Whether a word names a field.</summary>
    public static bool IsField(string name) => _needed.Concat(_other).Contains(name, StringComparer.OrdinalIgnoreCase);

    public static void Read(int line, IReadOnlyList<string> cells, CertificateDraft draft)
    {
        var name = cells[0];
        // A spreadsheet writes a comma for every empty cell of the table's width.
        var value = cells.Count > 1 ? cells[1] : string.Empty;
        if (!IsField(name))
        {
            draft.Fault(line, string.Empty, $"\"{name}\" is not a field of a certificate. Fields are {string.Join(", ", _needed.Concat(_other))}; the table begins with {CertificateRows.Header}.");
        }
        else if (cells.Skip(2).Any(cell => cell.Length > 0))
        {
            draft.Fault(line, name, "There is more than one value. Put a value with a comma in double quotes.");
        }
        else if (!draft.TryAdd(name, line, value))
        {
            draft.Fault(line, name, "The field is there twice.");
        }
    }

    public static void Check(CertificateDraft draft)
    {
        foreach (var name in _needed.Where(name => string.IsNullOrWhiteSpace(draft.Value(name))))
        {
            draft.Fault(draft.LineOf(name), name, "The field is missing or empty.");
        }

        foreach (var name in _needed.Concat(_other).Where(name => draft.Value(name)?.Length > LongestValue))
        {
            draft.Fault(draft.LineOf(name), name, $"The value is longer than {LongestValue} characters.");
        }

        CheckDates(draft);
        CheckGear(draft);
        CheckAir(draft);
    }

    private static void CheckDates(CertificateDraft draft)
    {
        draft.CalibratedOn = Date(CalibratedOn, draft);
        draft.ValidUntil = Date(ValidUntil, draft);
        if (draft is { CalibratedOn: { } made, ValidUntil: { } ends } && ends < made)
        {
            draft.Fault(draft.LineOf(ValidUntil), ValidUntil, "The certificate ends before the day of its calibration.");
        }
    }

    private static void CheckGear(CertificateDraft draft)
    {
        draft.Kind = Choice(Kind, GearNames.FindKind, GearNames.Kinds, draft);
        draft.Coupler = Choice(Coupler, GearNames.FindCoupler, GearNames.Couplers, draft);
        if (draft is { Kind: { } kind, Coupler: { } coupler } && !ReferenceThresholds.CouplersOf(kind).Contains(coupler))
        {
            var right = string.Join(" or ", ReferenceThresholds.CouplersOf(kind).Select(GearNames.Written));
            draft.Fault(draft.LineOf(Coupler), Coupler, $"{GearNames.Words(coupler)} has no reference thresholds for {GearNames.Words(kind)}: levels from it would be wrong by many decibels. Wanted: {right}.");
        }
    }

    private static void CheckAir(CertificateDraft draft)
    {
        draft.TemperatureC = Number(Temperature, draft);
        if (draft.TemperatureC is { } temperature && temperature is not (>= LowestTemperatureC and <= HighestTemperatureC))
        {
            draft.Fault(draft.LineOf(Temperature), Temperature, string.Create(CultureInfo.InvariantCulture, $"{temperature} °C cannot be right ({LowestTemperatureC} to {HighestTemperatureC} °C)."));
        }

        var before = draft.Faults.Count;
        var (pressure, altitude) = (Number(Pressure, draft), Number(Altitude, draft));
        if (draft.Faults.Count > before)
        {
            return;
        }

        if (AtmosphericPressure.Fault(pressure, altitude) is { } fault)
        {
            var field = pressure is null && altitude is not null ? Altitude : Pressure;
            draft.Fault(draft.LineOf(field), field, fault);
        }
        else
        {
            draft.PressureKPa = AtmosphericPressure.Of(pressure, altitude);
        }
    }

    private static DateOnly? Date(string name, CertificateDraft draft)
    {
        if (draft.Value(name) is not { Length: > 0 } text)
        {
            return null;
        }

        if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
        {
            return day;
        }

        draft.Fault(draft.LineOf(name), name, $"\"{text}\" is not a date; write year, month and day as in 2026-11-02.");
        return null;
    }

    private static T? Choice<T>(string name, Func<string, T?> find, IReadOnlyList<string> known, CertificateDraft draft)
        where T : struct
    {
        if (draft.Value(name) is not { Length: > 0 } text)
        {
            return null;
        }

        if (find(text) is { } found)
        {
            return found;
        }

        draft.Fault(draft.LineOf(name), name, $"\"{text}\" is not known; write one of {string.Join(", ", known)}.");
        return null;
    }

    private static double? Number(string name, CertificateDraft draft)
    {
        if (draft.Value(name) is not { Length: > 0 } text)
        {
            return null;
        }

        if (CertificateRows.TryNumber(text, out var number))
        {
            return number;
        }

        draft.Fault(draft.LineOf(name), name, $"\"{text}\" is not a number.");
        return null;
    }
}
