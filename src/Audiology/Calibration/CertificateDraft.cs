using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>A certificate while it is read: what was found, where, and everything wrong with it so far.</summary>
internal sealed class CertificateDraft
{
    private readonly Dictionary<string, (int Line, string Value)> _fields = new(StringComparer.OrdinalIgnoreCase);

    public List<CertificateFault> Faults { get; } = [];

    public List<(int Line, CalibrationEntry Entry)> Rows { get; } = [];

    /// <summary>Line of the table's header; absent until it was seen.</summary>
    public int? HeaderLine { get; set; }

    public DateOnly? CalibratedOn { get; set; }

    public DateOnly? ValidUntil { get; set; }

    public TransducerKind? Kind { get; set; }

    public Coupler? Coupler { get; set; }

    public double? TemperatureC { get; set; }

    public double? PressureKPa { get; set; }

    public void Fault(int? line, string column, string sentence) => Faults.Add(new CertificateFault(line, column, sentence));

    public bool TryAdd(string name, int line, string value) => _fields.TryAdd(name, (line, value));

    public string? Value(string name) => _fields.TryGetValue(name, out var found) ? found.Value : null;

    /// <summary>Line of a field; absent when it is not there.</summary>
    public int? LineOf(string name) => _fields.TryGetValue(name, out var found) ? found.Line : null;

    /// <summary>The record; to be asked only of a draft without faults.</summary>
    public CalibrationRecord ToRecord() => new(
        Value(CertificateFields.CertificateId)!,
        Value(CertificateFields.UnitSerial)!,
        Value(CertificateFields.TransducerSerial)!,
        Kind!.Value,
        Coupler!.Value,
        CalibratedOn!.Value,
        ValidUntil!.Value,
        Value(CertificateFields.Laboratory)!,
        [.. Rows.Select(row => row.Entry).OrderBy(entry => entry.Ear).ThenBy(entry => entry.FrequencyHz)])
    {
        TemperatureC = TemperatureC,
        PressureKPa = PressureKPa,
        Site = Value(CertificateFields.Site) is { Length: > 0 } site ? site : null,
    };
}
