using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Errands;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Storage;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Hub.Fleet;

/// <summary>Makes the picture of the fleet from its facts and those of its kits. Pure.</summary>
internal static class FleetViewBuilder
{
    /// <summary>Loans that are over and still shown: enough to look something up; a kit's page has all of its own.</summary>
    private const int PastShown = 40;

    /// <summary>Lines of the history shown.</summary>
    private const int TimelineShown = 60;

    /// <summary>Incidents, errands and foreign events that are over and still shown.</summary>
    private const int OthersShown = 60;

    public static FleetView Build(LoadedFleet loaded, FleetContext context)
    {
        var state = loaded.State;
        var onKits = context.Kits.SelectMany(kit => kit.Loans.Select(loan => (kit.KitId, Loan: loan))).ToLookup(found => (found.KitId, found.Loan.LoanId), found => found.Loan);
        var standings = state.Loans.Values
            .Select(loan => (Loan: loan, OnKit: loan.KitId is { } kitId ? onKits[(kitId, loan.Request.LoanId)].LastOrDefault() : null))
            .Select(found => (found.Loan, found.OnKit, Standing: LoanStandings.Of(found.Loan, found.OnKit)))
            .ToList();
        var open = standings.Where(found => LoanStandings.IsOpen(found.Standing)).ToList();
        return new FleetView(
            state.Version,
            context.Now,
            context.Today,
            [.. open.Select(found => View(state, found.Loan, found.OnKit, found.Standing, context)).OrderBy(loan => loan.Booking?.ShipBy ?? loan.Request.SessionDays[0]).ThenByDescending(loan => loan.Request.Urgency)],
            [.. standings.Where(found => !LoanStandings.IsOpen(found.Standing)).OrderByDescending(found => found.Loan.AskedAt).Take(PastShown).Select(found => View(state, found.Loan, found.OnKit, found.Standing, context))],
            Sessions(open.Select(found => found.Loan), context),
            Reminders(state, open, context.Today),
            [.. state.Calendars.Values],
            state.Terms,
            [.. state.Incidents.Values.Reverse().OrderBy(incident => incident.ClosedAt is not null).Take(OthersShown)],
            [.. state.Errands.Reverse().OrderBy(errand => errand.FinishedAt is not null).Take(OthersShown)],
            ErrandPlanner.Due(state, context),
            [.. state.Foreign.Reverse().Take(OthersShown).Select(kept => new ForeignEventView(kept.At, kept.Fact.EventId, kept.Fact.About, kept.Fact.Why))],
            [.. state.History.Reverse().Take(TimelineShown).Select(recorded => new TimelineEntry(recorded.Sequence, recorded.At, FleetWords.Of(recorded.Fact)))],
            loaded.Integrity)
        {
            ErrandsLeftOut = ErrandPlanner.LeftOut(state, context),
        };
    }

    /// <summary>One loan; absent when there is none.</summary>
    public static FleetLoanView? Loan(FleetState state, LoanId loanId, FleetContext context)
    {
        if (!state.Loans.TryGetValue(loanId, out var loan))
        {
            return null;
        }

        var onKit = LoanStandings.OnKit(loan, context);
        return View(state, loan, onKit, LoanStandings.Of(loan, onKit), context);
    }

    private static FleetLoanView View(FleetState state, FleetLoan loan, FleetKitLoan? onKit, LoanStanding standing, FleetContext context)
    {
        var (booking, refusal) = LoanBooking.Dates(state, loan.Request);
        if (booking is not null && loan.BookableFrom is { } bookable && (onKit?.DueBack ?? loan.DueBack) is { } due)
        {
            booking = LoanBooking.Promised(state, loan.Request, booking, (due, onKit?.BookableFrom ?? bookable));
        }

        return new FleetLoanView(
            loan.Request,
            loan.AskedBy,
            loan.AskedAt,
            standing,
            booking,
            LoanStandings.IsOpen(standing) ? Doubt(state, loan, onKit, standing, context) ?? refusal?.Sentence : null,
            loan.KitId,
            onKit?.DueBack ?? loan.DueBack,
            onKit?.PaperSignedBy,
            loan.SwappedFor,
            onKit?.StepsTaken ?? [])
        {
            WithdrawnBecause = loan.WithdrawnBecause,
        };
    }

    /// <summary>What is wrong with a loan now: what was right when it was asked for may not be so any more.</summary>
    private static string? Doubt(FleetState state, FleetLoan loan, FleetKitLoan? onKit, LoanStanding standing, FleetContext context)
    {
        if (loan.KitId is { } kitId && onKit is null)
        {
            return $"What is recorded of {kitId} does not show this loan. Look at the kit's page.";
        }

        var planned = context.Sessions.Where(session => loan.Request.Sessions.Contains(session.SessionId)).ToList();
        if (standing != LoanStanding.OnLoan)
        {
            if (planned.Count < loan.Request.Sessions.Count && loan.SwappedFor is null)
            {
                return "A session of this loan is over, under way, or not planned any more. See whether the kit is still wanted.";
            }

            if (LoanBooking.Consider(Without(state, loan), loan.Request, context).Refusal is { } refusal)
            {
                return refusal.Sentence;
            }

            if (loan.From is { } from && LoanBooking.Dates(state, loan.Request).Booking is { } now && now.ShipBy != from)
            {
                return $"Sessions, calendars or terms changed since the kit was promised: by them it leaves on {LoanBooking.Day(now.ShipBy)}, it is promised from {LoanBooking.Day(from)}.";
            }
        }

        // Sessions of a swapped loan go over to the other kit, as they should.
        return loan is { SwappedFor: null, KitId: { } chosen } && planned.FirstOrDefault(session => session.KitId != chosen) is { } other
            ? $"A session of this loan is planned with {other.KitId}, not with {chosen}. Have the session planned with the kit that goes."
            : null;
    }

    // A loan is no obstacle to itself.
    private static FleetState Without(FleetState state, FleetLoan loan) => state with { Loans = state.Loans.Remove(loan.Request.LoanId) };

    private static List<SessionToServe> Sessions(IEnumerable<FleetLoan> open, FleetContext context)
    {
        var served = open.Where(loan => loan.SwappedFor is null).SelectMany(loan => loan.Request.Sessions.Select(id => (id, loan.Request.LoanId))).ToLookup(pair => pair.id, pair => pair.LoanId);
        return
        [
            .. context.Sessions
                .Where(session => session.PlannedStart >= context.Now)
                .Select(session => new SessionToServe(session.SessionId, session.PlannedStart, session.Place, session.KitId, served[session.SessionId].Select(id => (LoanId?)id).FirstOrDefault())),
        ];
    }

    private static List<ReminderOwed> Reminders(FleetState state, IEnumerable<(FleetLoan Loan, FleetKitLoan? OnKit, LoanStanding Standing)> open, DateOnly today)
    {
        var ladder = new OverdueLadder(state.Terms.Ladder);
        return
        [
            .. from found in open
               where found.Standing == LoanStanding.OnLoan
               let due = found.OnKit!.DueBack
               let step = ladder.Standing(due, today, [.. found.OnKit.StepsTaken.Select(code => new LadderDone(code, due))]).Owed
               where step is not null
               orderby due
               select new ReminderOwed(found.Loan.Request.LoanId, found.Loan.KitId!.Value, found.Loan.Request.Place, due, today.DayNumber - due.DayNumber, step, due.AddDays(step.DaysAfterDue)),
        ];
    }
}
