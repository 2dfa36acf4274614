using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>Decides about loans. What a kit has to say to it, the kit's own rules decide. Pure.</summary>
internal static class LoanDecider
{
    public static FleetDecision Request(FleetState state, RequestLoan request, Actor by, FleetContext context)
    {
        if (state.Loans.ContainsKey(request.LoanId))
        {
            return FleetDecision.Refuse(RefusalCodes.Duplicate, "There is a loan with this number already.", "Look at the page as it is now.");
        }

        var considered = LoanBooking.Consider(state, request, context);
        return considered.Refusal is { } refusal ? FleetDecision.Refuse(refusal) : FleetDecision.Of(new LoanRequested(considered.Request, by));
    }

    public static FleetDecision Withdraw(FleetState state, WithdrawLoan withdraw, Actor by, FleetContext context)
    {
        if (Open(state, withdraw.LoanId, out var loan) is { } refusal)
        {
            return FleetDecision.Refuse(refusal);
        }

        var happened = FleetDecision.Of(new LoanWithdrawn(withdraw.LoanId, withdraw.Reason.Trim(), by));

        // What the kit has ended, or knows nothing of, cannot be called off there: nothing of the kit changes.
        return loan.KitId is not { } kitId || LoanStandings.OnKit(loan, context) is not { Ended: null }
            ? happened
            : !context.CaresForKits
            ? FleetDecision.Refuse(RefusalCodes.RoleNotAllowed, $"{kitId} is promised to this loan already.", "Ask the kit coordinator to call it off.")
            : happened.With(kitId, context.AskKit(kitId, new CallOffLoan(withdraw.LoanId, withdraw.Reason.Trim())));
    }

    public static FleetDecision Place(FleetState state, PlaceLoan place, Actor by, FleetContext context)
    {
        if (Open(state, place.LoanId, out var loan) is { } refusal)
        {
            return FleetDecision.Refuse(refusal);
        }

        return loan.KitId is { } chosen
            ? FleetDecision.Refuse(RefusalCodes.LoanStanding, $"{chosen} is promised to this loan already.", "Withdraw the loan and ask for it anew to choose another kit before it leaves.")
            : Promise(state, loan.Request, place.KitId, by, context);
    }

    public static FleetDecision Swap(FleetState state, SwapLoan swap, Actor by, FleetContext context)
    {
        if (Open(state, swap.LoanId, out var loan) is { } refusal)
        {
            return FleetDecision.Refuse(refusal);
        }

        if (loan.KitId is not { } old)
        {
            return FleetDecision.Refuse(RefusalCodes.LoanStanding, "No kit is promised to this loan, so there is none to swap.", "Choose a kit for it.");
        }

        if (loan.SwappedFor is not null)
        {
            return FleetDecision.Refuse(RefusalCodes.LoanStanding, "This loan was swapped already.", "Look at the loan that took its place.");
        }

        if (LoanStandings.OnKit(loan, context) is not { Left: true, Ended: null })
        {
            return FleetDecision.Refuse(RefusalCodes.LoanStanding, $"{old} is not at the site on this loan.", "Before it leaves, withdraw the loan and choose another kit.");
        }

        if (old == swap.KitId)
        {
            return FleetDecision.Refuse(RefusalCodes.Invalid, "That is the kit that does not do.", "Choose another one.");
        }

        if (state.Loans.ContainsKey(swap.NewLoanId))
        {
            return FleetDecision.Refuse(RefusalCodes.Duplicate, "There is a loan with this number already.", "Look at the page as it is now.");
        }

        // The days come with the command: some sessions may be over, or come too soon for another kit. Those of the days chosen go to the new loan.
        var zone = LoanBooking.Zone(loan.Request.Zone) ?? TimeZoneInfo.Utc;
        var chosen = context.Sessions
            .Where(session => loan.Request.Sessions.Contains(session.SessionId))
            .Select(session => (session.SessionId, Day: SessionMoment.At(session.PlannedStart, zone, zone).SiteDay))
            .Where(session => swap.SessionDays.Contains(session.Day))
            .ToList();
        var remaining = loan.Request with
        {
            LoanId = swap.NewLoanId,
            Sessions = swap.SessionDays.All(day => chosen.Any(session => session.Day == day)) ? [.. chosen.Select(session => session.SessionId)] : [],
            SessionDays = [.. swap.SessionDays.Distinct().Order()],
        };
        var decision = Promise(Without(state, swap.LoanId), remaining, swap.KitId, by, context, new LoanRequested(remaining, by));
        return decision.Refusal is not null ? decision : decision with { Facts = [.. decision.Facts, new LoanSwapped(swap.LoanId, swap.NewLoanId, swap.Reason.Trim(), by)] };
    }

    public static FleetDecision Prolong(FleetState state, ProlongLoan prolong, Actor by, FleetContext context)
    {
        if (Open(state, prolong.LoanId, out var loan) is { } refusal)
        {
            return FleetDecision.Refuse(refusal);
        }

        if (loan is not { KitId: { } kitId, DueBack: { } due })
        {
            return FleetDecision.Refuse(RefusalCodes.LoanStanding, "No kit is promised to this loan yet.", "Choose a kit, or withdraw the loan and ask anew for later days.");
        }

        if (prolong.DueBack < context.Today)
        {
            return FleetDecision.Refuse(RefusalCodes.LoanDates, $"{LoanBooking.Day(prolong.DueBack)} is in the past.", "Give the day on which the kit is to be back.");
        }

        if (prolong.DueBack <= due)
        {
            return FleetDecision.Refuse(RefusalCodes.LoanDates, $"It is due on {LoanBooking.Day(due)} already; {LoanBooking.Day(prolong.DueBack)} is not later.", "Give a later day.");
        }

        if (prolong.DueBack.DayNumber - due.DayNumber > BookingPlanner.LongestUseDays)
        {
            return FleetDecision.Refuse(RefusalCodes.LoanDates, $"That is more than {BookingPlanner.LongestUseDays} days later.", "Give a day within a year.");
        }

        var clinic = LoanBooking.Clinic(state);
        DateOnly back;
        DateOnly bookable;
        try
        {
            back = clinic.OnOrAfter(prolong.DueBack);
            bookable = clinic.AddWorkingDays(back, LoanBooking.Days(state.Terms, loan.Request.Spans).TurnaroundDays + 1);
        }
        catch (InvalidOperationException fault)
        {
            return FleetDecision.Refuse(RefusalCodes.LoanDates, fault.Message, "Put the clinic's calendar right in the fleet's settings.");
        }

        return FleetDecision.Of(new LoanProlonged(prolong.LoanId, back, bookable, prolong.Reason.Trim(), by))
            .With(kitId, context.AskKit(kitId, new ExtendLoan(prolong.LoanId, back, bookable, prolong.Reason.Trim())));
    }

    private static FleetDecision Promise(FleetState state, RequestLoan request, KitId kitId, Actor by, FleetContext context, params IReadOnlyList<FleetFact> before)
    {
        // Asked anew: sessions may be gone and days may have passed since it was requested.
        var considered = LoanBooking.Consider(state, request, context);
        if (considered is not { Refusal: null, Booking: { } booking })
        {
            return FleetDecision.Refuse(considered.Refusal!);
        }

        if (context.Kit(kitId) is not { } kit)
        {
            return FleetDecision.Refuse(Kits.Facts.KitRefusals.Unknown);
        }

        return LoanChoices.Missing(request, kit) is { } missing
            ? FleetDecision.Refuse(RefusalCodes.GearMissing, $"{kitId} does not do. {missing}", "Choose a kit that has what is needed.")
            : new FleetDecision([.. before, new LoanPlaced(request.LoanId, kitId, booking.ShipBy, booking.DueBack, booking.BookableFrom, by)], [], null) { Moves = Moves(request, kitId, context) }
                .With(kitId, context.AskKit(kitId, LoanChoices.Reserve(request, booking)));
    }

    // The kit that will be there is the kit the session is done with: its link, its checks and its record are looked for under the session's kit.
    private static IReadOnlyList<SessionMove> Moves(RequestLoan request, KitId kitId, FleetContext context) =>
    [
        .. context.Sessions
            .Where(session => request.Sessions.Contains(session.SessionId) && session.KitId != kitId)
            .Select(session => new SessionMove(session.SessionId, session.KitId, kitId)),
    ];

    private static FleetState Without(FleetState state, LoanId loanId) => state with { Loans = state.Loans.Remove(loanId) };

    private static Refusal? Open(FleetState state, LoanId loanId, out FleetLoan loan)
    {
        if (!state.Loans.TryGetValue(loanId, out var found))
        {
            loan = null!;
            return new Refusal(RefusalCodes.LoanUnknown, "There is no such loan.", "Look at the page as it is now.");
        }

        loan = found;
        return found.WithdrawnBecause is { } why
            ? new Refusal(RefusalCodes.LoanStanding, string.Create(CultureInfo.InvariantCulture, $"This loan was withdrawn: {why}"), "Ask for a new loan.")
            : null;
    }
}
