using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning;

/// <summary>Makes a problem to plan of what the fleet's and the kits' facts say. Pure.</summary>
internal static class PlanProblemBuilder
{
    /// <summary>Days a new certificate surely holds: the shortest three months there are, for gear that is moved (South African Code of Practice for Audiometry 7.1.1(b)).</summary>
    public const int CertificateDays = 89;

    /// <summary>Weights and longest waits of the urgencies (design).</summary>
    private static readonly Dictionary<LoanUrgency, UrgencyClass> _urgencies = new()
    {
        [LoanUrgency.Urgent] = new("urgent", 14, 15),
        [LoanUrgency.Soon] = new("soon", 28, 5),
        [LoanUrgency.Ordinary] = new("ordinary", 60, 2),
        [LoanUrgency.CanWait] = new("can wait", 90, 1),
    };

    /// <summary>Makes the problem.</summary>
    /// <param name="ask">What is asked.</param>
    /// <param name="state">The fleet.</param>
    /// <param name="context">Its kits and today.</param>
    /// <param name="holds">What holds each kit besides its calibration, as sentences; a kit without a line is not held.</param>
    public static PlanProblem Build(FleetPlanAsk ask, FleetState state, FleetContext context, IReadOnlyDictionary<KitId, IReadOnlyList<string>> holds)
    {
        var kits = context.Kits.Where(kit => kit.InService).OrderBy(kit => kit.KitId.Value, StringComparer.Ordinal).ToList();

        // A loan whose kit was swapped asks for no other kit; that its kit is still away, the kit's own loans say.
        var moving = state.Loans.Values.Where(loan => LoanStandings.Serves(loan, context) && Moves(ask, loan, context)).OrderBy(loan => loan.Request.LoanId.Value).ToList();
        var moved = moving.Select(loan => loan.Request.LoanId).ToHashSet();
        return new PlanProblem
        {
            From = ask.From,
            Until = ask.Until,
            Kits = [.. kits.Select(kit => Kit(kit, state, context.Today, holds.GetValueOrDefault(kit.KitId) ?? []))],
            Fixed =
            [
                .. from kit in kits
                   from loan in kit.Loans
                   where loan.Ended is null && !moved.Contains(loan.LoanId) && loan.From < loan.BookableFrom
                   orderby kit.KitId.Value, loan.From
                   select new FixedLoan(loan.LoanId.ToString(), kit.KitId.Value, loan.From, loan.BookableFrom),
            ],
            Requests = [.. moving.Select(loan => Request(ask, state, loan))],
            Calibration = Terms(ask, state),
        };
    }

    private static bool Moves(FleetPlanAsk ask, FleetLoan loan, FleetContext context) => loan.KitId is null
        || (ask.MovePromised && LoanStandings.OnKit(loan, context) is { Left: false, InHand: false } promised && promised.From > context.Today);

    private static PlanKit Kit(FleetKit kit, FleetState state, DateOnly today, IReadOnlyList<string> holds)
    {
        var errands = state.Errands.Where(errand => errand.FinishedAt is null && errand.GivenUpBecause is null && errand.Kits.Contains(kit.KitId)).ToList();
        var away = errands.Select(errand => new KitAway(errand.LeavesOn, Later(errand.BackOn, today).AddDays(1), AwayReason.Calibration, $"booked with {errand.Laboratory}")).ToList();
        if (kit.AtLaboratory && !errands.Exists(errand => errand.LeavesOn <= today))
        {
            away.Add(new KitAway(today, kit.FreeFrom, AwayReason.Calibration, "at the laboratory"));
        }

        if (kit.InTurnaround)
        {
            // Nobody knows how far they will get on the first day: the whole turnaround is counted, so that a plan promises nothing too early.
            var begins = Later(today, (kit.FreeFrom ?? today).AddDays(-1));
            var ready = WorkingDays.Later(LoanBooking.Clinic(state), begins, Math.Max(1, state.Terms.Spans.TurnaroundDays));
            away.Add(new KitAway(today, Later(ready, today.AddDays(1)), AwayReason.Hold, "it is being made ready after its return"));
        }

        away.AddRange(holds.Select(hold => new KitAway(today, null, AwayReason.Hold, hold)));
        return new PlanKit(kit.KitId.Value, kit.Transducers.Select(kind => kind.ToString()).ToHashSet(StringComparer.Ordinal), kit.FreeFrom ?? DateOnly.MaxValue, kit.CalibratedUntil) { Away = away };
    }

    private static PlanRequest Request(FleetPlanAsk ask, FleetState state, FleetLoan loan)
    {
        var request = loan.Request;
        var windows = new List<LoanWindow>();
        if (request.SessionDays.Count > 0 && LoanBooking.Calendars(state, request.Region).Pair is { } calendars)
        {
            for (var later = 0; later <= ask.LaterDays; later++)
            {
                var shift = WorkingDays.Later(calendars.Site, request.SessionDays[0], later).DayNumber - request.SessionDays[0].DayNumber;
                if (later > 0 && shift == 0)
                {
                    // The calendar has no working day any more: bookings say so in words.
                    break;
                }

                if (LoanBooking.Dates(state, request with { SessionDays = [.. request.SessionDays.Select(day => day.AddDays(shift))] }).Booking is { } booking)
                {
                    windows.Add(new LoanWindow(booking.Session, booking.ShipBy, booking.BookableFrom));
                }
            }
        }

        var asked = DateOnly.FromDateTime(loan.AskedAt.UtcDateTime);
        return new PlanRequest(
            request.LoanId.ToString(),
            request.Needs.Select(kind => kind.ToString()).ToHashSet(StringComparer.Ordinal),
            _urgencies[request.Urgency],
            asked,
            request.SessionDays.Count > 0 ? request.SessionDays[0] : asked,
            windows)
        {
            PromisedDay = request.SessionDays.Count > 0 && (request.Sessions.Count > 0 || loan.KitId is not null) ? request.SessionDays[0] : null,
        };
    }

    private static CalibrationTerms Terms(FleetPlanAsk ask, FleetState state)
    {
        var clinic = LoanBooking.Clinic(state);
        var starts = new List<DateOnly>();

        // Once a week, on its first working day: more choice changes plans little and makes them hard to find.
        for (var day = ask.From; day < ask.Until; day = day.AddDays(1))
        {
            if (clinic.IsWorkingDay(day) && (starts.Count == 0 || Week(day) != Week(starts[^1])))
            {
                starts.Add(day);
            }
        }

        var daysAway = Math.Clamp((int)Math.Ceiling(state.Terms.LaboratoryDays * 7 / 5.0), 1, CertificateDays - 1);
        return new CalibrationTerms(daysAway, CertificateDays, state.Terms.MostAwayAtLaboratory, starts);
    }

    // Weeks run from Monday; day number 0 was a Monday.
    private static int Week(DateOnly day) => day.DayNumber / 7;

    private static DateOnly Later(DateOnly first, DateOnly second) => first > second ? first : second;
}
