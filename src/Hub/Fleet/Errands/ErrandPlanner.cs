using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Hub.Fleet.Errands;

/// <summary>Proposes when kits go to their laboratories, so that not all are away at once. Pure.</summary>
internal static class ErrandPlanner
{
    /// <summary>How far ahead kits are looked at, days (design): long enough to move a kit's errand before its calibration ends, short against the three months it holds for gear that is moved.</summary>
    public const int WindowDays = 45;

    /// <summary>Kits whose calibration ends in the window or has ended, by laboratory.</summary>
    public static IReadOnlyList<ErrandDue> Due(FleetState state, FleetContext context)
    {
        var clinic = LoanBooking.Clinic(state);
        var taken = state.Errands.Where(errand => errand.FinishedAt is null).SelectMany(errand => errand.Kits.Select(_ => (errand.LeavesOn, errand.BackOn))).ToList();
        var onErrand = state.Errands.Where(errand => errand.FinishedAt is null).SelectMany(errand => errand.Kits).ToHashSet();
        var lines = new List<(string Laboratory, ErrandDueLine Line)>();
        foreach (var kit in context.Kits
            .Where(kit => kit is { InService: true, AtLaboratory: false, CalibratedUntil: not null, Laboratory: not null } && kit.CalibratedUntil <= context.Today.AddDays(WindowDays) && kit.NotByParcel is null && !onErrand.Contains(kit.KitId))
            .OrderBy(kit => kit.CalibratedUntil)
            .ThenBy(kit => kit.KitId.Value, StringComparer.Ordinal))
        {
            var line = Line(state.Terms, kit, context.Today, clinic, taken);
            taken.Add((line.LeavesOn, line.BackOn));
            lines.Add((kit.Laboratory!, line));
        }

        return [.. lines.GroupBy(line => line.Laboratory).Select(group => new ErrandDue(group.Key, [.. group.Select(line => line.Line)]))];
    }

    /// <summary>Kits that would have to go, or are planned to, and that must not go into a parcel, each with why.</summary>
    public static IReadOnlyList<ErrandLeftOut> LeftOut(FleetState state, FleetContext context)
    {
        var onErrand = state.Errands.Where(errand => errand.FinishedAt is null).SelectMany(errand => errand.Kits).ToHashSet();
        return
        [
            .. from kit in context.Kits
               where kit is { InService: true, AtLaboratory: false, NotByParcel: not null } && (onErrand.Contains(kit.KitId) || kit.CalibratedUntil <= context.Today.AddDays(WindowDays))
               orderby kit.KitId.Value
               select new ErrandLeftOut(kit.KitId, kit.NotByParcel!, onErrand.Contains(kit.KitId)),
        ];
    }

    private static ErrandDueLine Line(FleetTerms terms, FleetKit kit, DateOnly today, WorkCalendar clinic, List<(DateOnly From, DateOnly To)> taken)
    {
        try
        {
            return Propose(terms, kit, today, clinic, taken);
        }
        catch (Exception fault) when (fault is InvalidOperationException or ArgumentOutOfRangeException)
        {
            // A calendar without a working day for a year, or a date far outside: the page is shown all the same, since the calendar is put right on it.
            return new ErrandDueLine(kit.KitId, kit.CalibratedUntil!.Value, today, today.AddDays(terms.LaboratoryDays), $"These are no working days: {fault.Message}");
        }
    }

    private static ErrandDueLine Propose(FleetTerms terms, FleetKit kit, DateOnly today, WorkCalendar clinic, List<(DateOnly From, DateOnly To)> taken)
    {
        var until = kit.CalibratedUntil!.Value;
        var first = clinic.OnOrAfter(today);

        // As late as it can go and be back before the calibration ends: a calibration given up early is paid for twice.
        var latest = until > today ? clinic.AddWorkingDays(clinic.OnOrBefore(until), -terms.LaboratoryDays) : first;
        for (var day = latest < first ? first : latest; day >= first; day = clinic.PreviousWorkingDay(day))
        {
            if (Free(terms, kit, day, clinic, taken))
            {
                return Line(day, day == latest ? $"It is then back by the day its calibration ends, {LoanBooking.Day(until)}." : until <= today ? "Its calibration is over." : latest < first ? $"It cannot be back before its calibration ends on {LoanBooking.Day(until)}." : "Later days are taken by other kits at laboratories or by its own loans.");
            }
        }

        // Nothing before the end: the first day after it. A year is longer than any errand or loan that stands in the way.
        var later = first;
        for (var tries = 0; tries < 366 && !Free(terms, kit, later, clinic, taken); tries++)
        {
            later = clinic.NextWorkingDay(later);
        }

        return Line(later, string.Create(CultureInfo.InvariantCulture, $"No earlier day is free: {terms.MostAwayAtLaboratory} kits may be at laboratories at once, and its own loans come first. It stays on the shelf once its calibration has ended on {until:d MMMM yyyy}."));

        ErrandDueLine Line(DateOnly leaves, string reason) => new(kit.KitId, until, leaves, clinic.AddWorkingDays(leaves, terms.LaboratoryDays), reason);
    }

    private static bool Free(FleetTerms terms, FleetKit kit, DateOnly leaves, WorkCalendar clinic, List<(DateOnly From, DateOnly To)> taken)
    {
        var back = clinic.AddWorkingDays(leaves, terms.LaboratoryDays);
        if (kit.Loans.Any(loan => loan.Ended is null && loan.From <= back && leaves < loan.BookableFrom))
        {
            return false;
        }

        // As many as are away on any one day of it: the number only grows on days one leaves.
        var most = taken.Select(other => other.From).Append(leaves).Where(day => day >= leaves && day <= back)
            .Max(day => taken.Count(other => other.From <= day && day <= other.To));
        return most < terms.MostAwayAtLaboratory;
    }
}
