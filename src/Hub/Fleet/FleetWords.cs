using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Practice;

namespace TeleHearing.Hub.Fleet;

/// <summary>Facts of the fleet as lines of its history.</summary>
internal static class FleetWords
{
    public static string Of(FleetFact fact) => fact switch
    {
        LoanRequested asked => $"{asked.By.Name} asked for a kit on {Days(asked.Request.SessionDays)}: {asked.Request.Place}.",
        LoanWithdrawn gone => $"{gone.By.Name} withdrew a loan: {gone.Reason}",
        LoanPlaced placed => string.Create(CultureInfo.InvariantCulture, $"{placed.By.Name} promised {placed.KitId} to a loan from {placed.From:d MMMM yyyy} to {placed.DueBack:d MMMM yyyy}."),
        LoanSwapped swapped => $"{swapped.By.Name} swapped the kit of a loan: {swapped.Reason}",
        LoanProlonged longer => string.Create(CultureInfo.InvariantCulture, $"{longer.By.Name} extended a loan to {longer.DueBack:d MMMM yyyy}: {longer.Reason}"),
        CalendarWasSet set => $"{set.By.Name} set the calendar \"{set.Calendar.Region}\" with {Count(set.Calendar.Holidays.Count, "holiday")}.",
        TermsWereSet set => $"{set.By.Name} set the terms of lending.",
        IncidentOpened opened => $"{opened.By.Name} opened an incident ({Kind(opened.Kind)}){(opened.KitId is { } kit ? $" about {kit}" : string.Empty)}.",
        IncidentNoted noted => string.Create(CultureInfo.InvariantCulture, $"{noted.By.Name} noted something about incident {noted.Incident}."),
        IncidentClosed closed => string.Create(CultureInfo.InvariantCulture, $"{closed.By.Name} closed incident {closed.Incident}."),
        ErrandPlanned planned => string.Create(CultureInfo.InvariantCulture, $"{planned.By.Name} planned an errand to {planned.Laboratory} on {planned.LeavesOn:d MMMM yyyy}: {string.Join(", ", planned.Kits)}."),
        ErrandFinished { GivenUpBecause: { } why } finished => $"{finished.By.Name} gave an errand up: {why}",
        ErrandFinished finished => $"{finished.By.Name} recorded that an errand is done.",
        ForeignEventKept kept => $"{kept.By.Name} handed in an event about {kept.About}, which is kept aside.",
        IPracticeFact practice => PracticeWords.Of(practice),
        _ => "Something this version cannot read.",
    };

    /// <summary>A kind of incident.</summary>
    public static string Kind(IncidentKind kind) => kind switch
    {
        IncidentKind.Lost => "lost kit",
        IncidentKind.Stolen => "stolen kit",
        IncidentKind.Incident => "incident",
        IncidentKind.NearMiss => "near miss",
        _ => "possible breach",
    };

    private static string Days(IReadOnlyList<DateOnly> days) => string.Join(", ", days.Select(day => day.ToString("d MMMM yyyy", CultureInfo.InvariantCulture)));

    private static string Count(int number, string what) => string.Create(CultureInfo.InvariantCulture, $"{number} {what}{(number == 1 ? string.Empty : "s")}");
}
