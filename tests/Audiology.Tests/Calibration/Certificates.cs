using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Tests.Calibration;

/// <summary>Invented certificates of an invented laboratory.</summary>
internal static class Certificates
{
    public const double LeftDb = 130.0;
    public const double RightDb = 130.8;

    public static readonly DateOnly Today = new(2026, 11, 25);

    public static CertificateContext Expected { get; } = new("AU-1140", "CE-2207", TransducerKind.Circumaural, GearUse.Moved, Today, null, []);

    /// <summary>A whole certificate, line by line: fields are lines 1 to 11, the header is line 12, rows follow, right ear first.</summary>
    public static List<string> Lines() =>
    [
        "certificate_id,INV-3391",
        "laboratory,\"Alder Lane Acoustics, invented\"",
        "calibrated_on,2026-11-02",
        "valid_until,2027-11-01",
        "unit_serial,AU-1140",
        "transducer_serial,CE-2207",
        "transducer_kind,circumaural",
        "coupler,iec-60318-1-flat-plate",
        "temperature_c,22.4",
        "pressure_kpa,100.9",
        "site,Fernhill clinic",
        "ear,frequency_hz,spl_at_full_scale_db,maximum_db_hl,uncertainty_db",
        .. Rows("right", RightDb),
        .. Rows("left", LeftDb),
    ];

    public static string Text(Action<List<string>>? change = null)
    {
        var lines = Lines();
        change?.Invoke(lines);
        return string.Join('\n', lines) + "\n";
    }

    public static string WithField(string name, string value) => Text(lines => lines[lines.FindIndex(line => line.StartsWith(name + ",", StringComparison.Ordinal))] = $"{name},{value}");

    public static CalibrationRecord Record(string? text = null) =>
        CertificateFile.Parse(text ?? Text()) is CertificateFile.Read read ? read.Record : throw new InvalidOperationException("The sample certificate has a fault.");

    public static IReadOnlyList<CertificateFault> Faults(string text, CertificateContext? expected = null) =>
        CertificateFile.Parse(text, expected) is CertificateFile.Faulty faulty ? faulty.Faults : [];

    private static IEnumerable<string> Rows(string ear, double spl) => AudiometricFrequency.All.Select(frequency =>
        string.Create(CultureInfo.InvariantCulture, $"{ear},{frequency.Hertz},{spl:0.0},{(frequency.Hertz is 125 ? 70 : 90)},0.7"));
}
