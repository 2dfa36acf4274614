using System.Text.Json.Serialization;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Contracts;

/// <summary>A day on which an end does not work although its weekday would.</summary>
public sealed record CalendarHoliday(DateOnly Day, string Name);

/// <summary>The working days of one end.</summary>
/// <param name="Region">Its name.</param>
/// <param name="WeekendDays">Weekdays that never work.</param>
/// <param name="Holidays">Single days that do not work, in order.</param>
public sealed record FleetCalendar(string Region, IReadOnlyList<DayOfWeek> WeekendDays, IReadOnlyList<CalendarHoliday> Holidays)
{
    /// <summary>Name of the calendar of the clinic's own end.</summary>
    public const string Clinic = "clinic";

    /// <summary>Saturday and Sunday off and no holidays: what holds where nothing was said.</summary>
    public static FleetCalendar MondayToFriday(string region) => new(region, [DayOfWeek.Saturday, DayOfWeek.Sunday], []);
}

/// <summary>The clinic's terms of lending.</summary>
/// <param name="Zone">Time zone of the clinic, as in the IANA list.</param>
/// <param name="Spans">Days on the way, where a request says nothing else.</param>
/// <param name="QuarantineHours">Hours a kit rests after its return before it is cleaned.</param>
/// <param name="Ladder">Steps when a kit does not come back, in order of days.</param>
/// <param name="MostAwayAtLaboratory">Most kits at laboratories at the same time.</param>
/// <param name="LaboratoryDays">Working days a kit is away for calibration, both ways included.</param>
/// <param name="ReturnAddress">Lines of the address kits come back to; empty until it is set.</param>
/// <param name="Telephone">Number a site calls; empty until it is set.</param>
/// <param name="IncidentHours">Hours within which the clinic itself wants an incident reported; absent when it set none. Local rules decide what is owed.</param>
public sealed record FleetTerms(
    string Zone,
    LoanSpans Spans,
    int QuarantineHours,
    IReadOnlyList<LadderStep> Ladder,
    int MostAwayAtLaboratory,
    int LaboratoryDays,
    string ReturnAddress,
    string Telephone,
    int? IncidentHours)
{
    /// <summary>What holds until the clinic sets its own. Ladder: common practice; 0 hours of quarantine and the spans: design, the spans from the worked case of the booking arithmetic.</summary>
    public static FleetTerms Initial { get; } = new(
        "Etc/UTC",
        new LoanSpans(1, 3, 1, 3, 2),
        0,
        OverdueLadder.Usual.Steps,
        2,
        10,
        string.Empty,
        string.Empty,
        null);
}

/// <summary>What kind of incident.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<IncidentKind>))]
public enum IncidentKind
{
    /// <summary>A kit is lost.</summary>
    Lost,

    /// <summary>A kit was stolen.</summary>
    Stolen,

    /// <summary>Something that happened to a person or a kit.</summary>
    Incident,

    /// <summary>Something that nearly happened.</summary>
    NearMiss,

    /// <summary>Information may have come to somebody whom it does not concern.</summary>
    Breach,
}

/// <summary>What may come of an incident, as the clinic judges it.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<IncidentRisk>))]
public enum IncidentRisk
{
    None,
    Low,
    Medium,
    High,
}
