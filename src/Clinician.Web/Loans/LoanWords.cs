using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Clinician.Web.Kits;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Clinician.Web.Loans;

/// <summary>Words about loans, reminders and incidents.</summary>
public static class LoanWords
{
    /// <summary>Where a loan stands: a sign and words, never the colour alone.</summary>
    public static string Standing(LoanStanding standing) => standing switch
    {
        LoanStanding.Requested => "○ asked for, no kit yet",
        LoanStanding.Promised => "◐ kit promised",
        LoanStanding.OnLoan => "▶ on loan",
        LoanStanding.Back => "✓ back",
        LoanStanding.Withdrawn => "– withdrawn",
        _ => "✕ lost or stolen",
    };

    /// <summary>How much a loan matters.</summary>
    public static string Urgency(LoanUrgency urgency) => urgency switch
    {
        LoanUrgency.CanWait => "can wait",
        LoanUrgency.Ordinary => "ordinary",
        LoanUrgency.Soon => "soon",
        _ => "▲ urgent",
    };

    /// <summary>A part of a booking.</summary>
    public static string Stage(BookingStage stage) => stage switch
    {
        BookingStage.TransitOut => "On its way out",
        BookingStage.Settle => "Settling in",
        BookingStage.Session => "Sessions",
        BookingStage.PickUp => "Waiting for pick-up",
        BookingStage.TransitBack => "On its way back",
        _ => "Turnaround",
    };

    /// <summary>What a step of the ladder asks for.</summary>
    public static string Step(LadderStep step) => step switch
    {
        { Action: LadderAction.GiveUp } => "Record the kit as lost",
        { Action: LadderAction.Call } => "Call the site",
        { Action: LadderAction.Letter } => "Send a letter",
        { DaysAfterDue: < 0 } => "Remind the site that the kit is due soon",
        { DaysAfterDue: 0 } => "Ask whether the kit was handed over today",
        _ => "Remind the site in writing",
    };

    /// <summary>How late a kit is.</summary>
    public static string Late(int days) => days switch
    {
        < -1 => string.Create(CultureInfo.InvariantCulture, $"due in {-days} days"),
        -1 => "due tomorrow",
        0 => "due today",
        1 => "▲ 1 day late",
        _ => string.Create(CultureInfo.InvariantCulture, $"▲ {days} days late"),
    };

    /// <summary>A kind of incident.</summary>
    public static string Incident(IncidentKind kind) => kind switch
    {
        IncidentKind.Lost => "Lost kit",
        IncidentKind.Stolen => "Stolen kit",
        IncidentKind.Incident => "Incident",
        IncidentKind.NearMiss => "Near miss",
        _ => "Possible breach",
    };

    /// <summary>A transducer a loan may need.</summary>
    public static string Transducer(TransducerKind kind) => Audiology.Calibration.GearNames.Words(kind);

    /// <summary>Days of sessions.</summary>
    public static string Days(IReadOnlyList<DateOnly> days) => days.Count switch
    {
        0 => "no day",
        1 => KitWords.Day(days[0]),
        2 => $"{KitWords.Day(days[0])} and {KitWords.Day(days[1])}",
        _ => string.Create(CultureInfo.InvariantCulture, $"{days.Count} days from {KitWords.Day(days[0])} to {KitWords.Day(days[^1])}"),
    };

    /// <summary>A day with its weekday.</summary>
    public static string Weekday(DateOnly day) => day.ToString("ddd d MMM yyyy", CultureInfo.InvariantCulture);
}
