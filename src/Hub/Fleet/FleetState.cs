using System.Collections.Immutable;
using TeleHearing.Contracts;
using TeleHearing.Hub.Practice;

namespace TeleHearing.Hub.Fleet;

/// <summary>What the facts of the fleet come to.</summary>
internal sealed record FleetState
{
    public static FleetState Empty { get; } = new();

    /// <summary>Number of facts.</summary>
    public long Version { get; init; }

    /// <summary>Time of the last fact.</summary>
    public DateTimeOffset? LastAt { get; init; }

    /// <summary>Every loan ever asked for.</summary>
    public ImmutableDictionary<LoanId, FleetLoan> Loans { get; init; } = ImmutableDictionary<LoanId, FleetLoan>.Empty;

    /// <summary>Working days by name of the region.</summary>
    public ImmutableSortedDictionary<string, FleetCalendar> Calendars { get; init; } = ImmutableSortedDictionary.Create<string, FleetCalendar>(StringComparer.OrdinalIgnoreCase)
        .Add(FleetCalendar.Clinic, FleetCalendar.MondayToFriday(FleetCalendar.Clinic));

    /// <summary>Terms of lending.</summary>
    public FleetTerms Terms { get; init; } = FleetTerms.Initial;

    /// <summary>Incidents by number, oldest first.</summary>
    public ImmutableSortedDictionary<long, IncidentView> Incidents { get; init; } = ImmutableSortedDictionary<long, IncidentView>.Empty;

    /// <summary>Whether an incident with a kit is open.</summary>
    public bool IncidentOpen(KitId kitId) => Incidents.Values.Any(incident => incident.KitId == kitId && incident.ClosedAt is null);

    /// <summary>Errands in the order in which they were planned.</summary>
    public ImmutableList<ErrandView> Errands { get; init; } = [];

    /// <summary>Events about kits that are not known here, oldest first.</summary>
    public ImmutableList<(DateTimeOffset At, ForeignEventKept Fact)> Foreign { get; init; } = [];

    /// <summary>Tiers, sign-offs and registrations.</summary>
    public PracticeState Practice { get; init; } = PracticeState.Empty;

    /// <summary>Every fact, oldest first.</summary>
    public ImmutableList<RecordedFleetFact> History { get; init; } = [];
}

/// <summary>A loan as the fleet's facts tell it. Where its kit is, the kit's own facts tell.</summary>
/// <param name="Request">What was asked for.</param>
/// <param name="AskedBy">Who asked.</param>
/// <param name="AskedAt">When.</param>
internal sealed record FleetLoan(RequestLoan Request, string AskedBy, DateTimeOffset AskedAt)
{
    /// <summary>Kit chosen; absent while none is.</summary>
    public KitId? KitId { get; init; }

    /// <summary>Day the kit leaves; absent while none is chosen.</summary>
    public DateOnly? From { get; init; }

    /// <summary>Day it is to be back, extensions counted.</summary>
    public DateOnly? DueBack { get; init; }

    /// <summary>First day it may be lent again, extensions counted.</summary>
    public DateOnly? BookableFrom { get; init; }

    /// <summary>Why it is no longer wanted; absent while it is.</summary>
    public string? WithdrawnBecause { get; init; }

    /// <summary>Loan that takes its place.</summary>
    public LoanId? SwappedFor { get; init; }
}
