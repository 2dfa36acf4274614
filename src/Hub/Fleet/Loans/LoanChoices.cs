using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Booking;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>Which kits would do for a loan, and why the others would not. The kit's own rules answer; what the loan needs is added. Pure.</summary>
internal static class LoanChoices
{
    /// <summary>Every kit in service, those that would do first, among them those whose calibration ends soonest: the longer ones stay for longer loans. Those that are overdue stand last among them: nobody knows when they come back.</summary>
    public static IReadOnlyList<LoanChoice> Of(RequestLoan request, KitBooking booking, FleetContext context)
    {
        var planned = context.Sessions.Where(session => request.Sessions.Contains(session.SessionId)).Select(session => session.KitId).ToHashSet();
        return
        [
            .. context.Kits
                .Where(kit => kit.InService)
                .Select(kit => (Kit: kit, WhyNot: WhyNot(request, booking, kit, context)))
                .OrderBy(found => found.WhyNot.Count > 0)
                .ThenBy(found => found.Kit.Overdue is not null)
                .ThenBy(found => !planned.Contains(found.Kit.KitId))
                .ThenBy(found => found.Kit.CalibratedUntil)
                .ThenBy(found => found.Kit.KitId.Value, StringComparer.Ordinal)
                .Select(found => new LoanChoice(found.Kit.KitId, found.Kit.Label, found.Kit.Where, found.WhyNot.Count == 0, found.WhyNot.Count > 0 ? found.WhyNot : For(found.Kit, planned, Between(request, booking, found.Kit.KitId, context)))),
        ];
    }

    /// <summary>Why a kit would not do, as sentences; empty when it would.</summary>
    public static IReadOnlyList<string> WhyNot(RequestLoan request, KitBooking booking, FleetKit kit, FleetContext context)
    {
        var reasons = new List<string>();
        if (Missing(request, kit) is { } missing)
        {
            reasons.Add(missing);
        }

        if (context.AskKit(kit.KitId, Reserve(request, booking))?.Refusal is { } refusal)
        {
            reasons.Add(refusal.Sentence);
        }

        return reasons;
    }

    /// <summary>What the loan needs and the kit has not; absent when it has all.</summary>
    public static string? Missing(RequestLoan request, FleetKit kit)
    {
        var missing = request.Needs.Distinct().Except(kit.Transducers).Select(GearNames.Words).ToList();
        return missing.Count == 0
            ? null
            : $"It lacks what is needed: {string.Join(", ", missing)}. It has {(kit.Transducers.Count == 0 ? "told nothing of its gear" : string.Join(", ", kit.Transducers.Select(GearNames.Words)))}.";
    }

    /// <summary>The promise of a kit to a loan.</summary>
    public static ReserveKit Reserve(RequestLoan request, KitBooking booking) => new(request.LoanId, booking.ShipBy, booking.DueBack, booking.BookableFrom, request.Place);

    /// <summary>Sessions of other loans or places that are planned with a kit and would come before it is free again.</summary>
    private static IEnumerable<string> Between(RequestLoan request, KitBooking booking, KitId kitId, FleetContext context) =>
        from session in context.Sessions
        where session.KitId == kitId && !request.Sessions.Contains(session.SessionId)
        let start = TimeZoneInfo.ConvertTime(session.PlannedStart, context.Zone)
        let day = DateOnly.FromDateTime(start.DateTime)
        where day >= context.Today && day < booking.BookableFrom
        select string.Create(CultureInfo.InvariantCulture, $"It has a session {(day == context.Today ? "today" : $"on {day:d MMMM yyyy}")} at {start:HH:mm} at \"{session.Place}\". See that it is there for it.");

    private static List<string> For(FleetKit kit, HashSet<KitId> planned, IEnumerable<string> sessions)
    {
        var reasons = new List<string>();
        if (kit.Overdue is { } place)
        {
            reasons.Add($"Overdue, still at {place}: nobody knows when it comes back.");
        }

        reasons.AddRange(sessions);
        if (planned.Contains(kit.KitId))
        {
            reasons.Add("The session is planned with this kit.");
        }

        if (kit.CalibratedUntil is { } until)
        {
            reasons.Add(string.Create(CultureInfo.InvariantCulture, $"Its calibration holds until {until:d MMMM yyyy}."));
        }

        return reasons;
    }
}
