using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet;

/// <summary>Stored names and shapes of all facts of the fleet. Names are for good; a new shape is a new line here with the next number.</summary>
internal static class FleetFactCatalog
{
    private static readonly FactCatalog<FleetFact> _catalog = new(
        [
            ("loan.requested", 1, typeof(LoanRequested)),
            ("loan.withdrawn", 1, typeof(LoanWithdrawn)),
            ("loan.placed", 1, typeof(LoanPlaced)),
            ("loan.swapped", 1, typeof(LoanSwapped)),
            ("loan.prolonged", 1, typeof(LoanProlonged)),
            ("calendar.set", 1, typeof(CalendarWasSet)),
            (TermsSet, 1, typeof(TermsWereSet)),
            ("incident.opened", 1, typeof(IncidentOpened)),
            ("incident.noted", 1, typeof(IncidentNoted)),
            ("incident.closed", 1, typeof(IncidentClosed)),
            ("errand.planned", 1, typeof(ErrandPlanned)),
            ("errand.finished", 1, typeof(ErrandFinished)),
            ("foreign-event.kept", 1, typeof(ForeignEventKept)),
            ("tier.set", 1, typeof(TierWasSet)),
            ("sign-off.given", 1, typeof(SignOffGiven)),
            ("sign-off.withdrawn", 1, typeof(SignOffWithdrawn)),
            ("registration.kept", 1, typeof(RegistrationKept)),
            ("registration.ended", 1, typeof(RegistrationEnded)),
        ],
        (name, shape, payload) => new UnreadableFleetFact(name, shape, payload),
        fact => fact is UnreadableFleetFact carried ? (carried.Kind, carried.Shape, carried.Payload) : null);

    /// <summary>Stored name of the clinic's terms.</summary>
    public const string TermsSet = "terms.set";

    /// <summary>Every line: stored name, shape number, type.</summary>
    public static IReadOnlyList<(string Name, int Shape, Type Type)> Lines => _catalog.Lines;

    /// <inheritdoc cref="FactCatalog{TFact}.Write"/>
    public static (string Name, int Shape, string Payload) Write(FleetFact fact) => _catalog.Write(fact);

    /// <inheritdoc cref="FactCatalog{TFact}.Read"/>
    public static FleetFact Read(string name, int shape, string payload) => _catalog.Read(name, shape, payload);
}
