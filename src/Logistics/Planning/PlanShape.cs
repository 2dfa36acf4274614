namespace TeleHearing.Logistics.Planning;

/// <summary>How large and how busy an invented fleet is. All numbers are design choices of the invented clinic; the length of a calibration and how often it comes follow the rule for gear that is moved.</summary>
public sealed record PlanShape
{
    /// <summary>First day.</summary>
    public DateOnly From { get; init; } = new(2026, 1, 5);

    /// <summary>Days planned.</summary>
    public int Days { get; init; } = 364;

    /// <summary>Number of kits: half of them plain, a third with a tympanometer, a sixth with a probe microphone too.</summary>
    public int Kits { get; init; } = 12;

    /// <summary>Number of requests over the span.</summary>
    public int Requests { get; init; } = 500;

    /// <summary>Longest transit each way, working days; 1 to this, shorter ones more often.</summary>
    public int LongestTransitDays { get; init; } = 3;

    /// <summary>Most session days a request may have.</summary>
    public int MostWindows { get; init; } = 8;

    /// <summary>Kits away for calibration at once.</summary>
    public int MostAwayAtOnce { get; init; } = 3;

    /// <summary>Days a calibration takes. Four times fourteen days a year is the example of the availability formula.</summary>
    public int CalibrationDays { get; init; } = 14;

    /// <summary>Days a certificate holds: three months for gear moved between environments (South African Code of Practice for Audiometry 7.1.1(b)).</summary>
    public int CertificateDays { get; init; } = 91;

    /// <summary>Share of requests whose day was already promised.</summary>
    public double PromisedShare { get; init; } = 0.1;

    /// <summary>Share of kits held for some weeks.</summary>
    public double HeldShare { get; init; } = 0.15;
}
