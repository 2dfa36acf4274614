using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Fleet.Demand;

/// <summary>Counts demand, cycles and losses from the facts of the fleet and of its kits. Pure.</summary>
internal static class FleetHistoryBuilder
{
    /// <summary>Days looked back (design): a whole year, so that every season is in it once and what is long past does not count.</summary>
    public const int LongestDays = 365;

    /// <summary>Counts.</summary>
    /// <param name="state">The fleet.</param>
    /// <param name="kits">Every kit.</param>
    /// <param name="today">The clinic's day; it is the last one counted.</param>
    /// <param name="zone">Time zone of the clinic, by which moments become days.</param>
    public static FleetHistoryView Build(FleetState state, IReadOnlyList<KitState> kits, DateOnly today, TimeZoneInfo zone)
    {
        DateOnly Day(DateTimeOffset at) => DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, zone).DateTime);

        // The records begin with the first fact, not with the first loan: a window that opens with what it counts makes the demand look larger than it is.
        var facts = state.History.Take(1).Select(fact => fact.At).Concat(kits.SelectMany(kit => kit.History.Take(1)).Select(fact => fact.At)).ToList();
        var first = facts.Count == 0 ? today : Day(facts.Min());
        var from = first < today.AddDays(-LongestDays) ? today.AddDays(-LongestDays) : first < today ? first : today;
        var until = today.AddDays(1);
        bool Counted(DateOnly day) => day >= from && day < until;

        var sent = kits.SelectMany(kit => kit.PastLoans.Concat(kit.Loans)).Where(loan => loan.SentOn is not null).ToList();
        return new FleetHistoryView(
            from,
            until,
            Asked(state, kits, Day).Count(Counted),
            [.. kits.SelectMany(kit => Cycles(kit, Day)).Where(cycle => Counted(cycle.Free)).OrderBy(cycle => cycle.Free).Select(cycle => cycle.Days)],
            sent.Count(loan => Counted(loan.SentOn!.Value)) + sent.Count(loan => loan.SentBackOn is { } back && Counted(back)),
            sent.Count(loan => loan.Ended is "lost" or "stolen" && Counted(Day(loan.Steps[^1].At))),
            kits.Count(kit => kit.Stage is not (KitStage.Draft or KitStage.Lost or KitStage.Stolen or KitStage.Retired)));
    }

    /// <summary>The day on which each loan was asked for. A kit may also be promised on its own page, which the fleet's facts then do not know.</summary>
    private static IEnumerable<DateOnly> Asked(FleetState state, IReadOnlyList<KitState> kits, Func<DateTimeOffset, DateOnly> day)
    {
        var takesPlace = state.Loans.Values.Where(loan => loan.SwappedFor is not null).Select(loan => loan.SwappedFor!.Value).ToHashSet();
        var atKits = kits.SelectMany(kit => kit.PastLoans.Concat(kit.Loans)).Where(loan => !state.Loans.ContainsKey(loan.LoanId)).DistinctBy(loan => loan.LoanId);
        return state.Loans.Values.Where(loan => !takesPlace.Contains(loan.Request.LoanId)).Select(loan => day(loan.AskedAt))
            .Concat(atKits.Select(loan => loan.Steps.Count > 0 ? day(loan.Steps[0].At) : loan.From));
    }

    /// <summary>From the day a kit was sent to the day it was released again, before it was sent the next time.</summary>
    private static IEnumerable<(DateOnly Free, int Days)> Cycles(KitState kit, Func<DateTimeOffset, DateOnly> day)
    {
        var released = kit.History.Where(recorded => recorded.Fact is KitReleased).Select(recorded => recorded.At).ToList();
        var loans = kit.PastLoans.Concat(kit.Loans).Where(loan => loan.SentOn is not null).OrderBy(loan => loan.SentOn).ToList();
        for (var place = 0; place < loans.Count; place++)
        {
            if (loans[place] is not { Ended: "received", SentOn: { } sentOn } loan || loan.Steps.LastOrDefault(step => step.Name == "received") is not { } back)
            {
                continue;
            }

            var next = place + 1 < loans.Count ? loans[place + 1].SentOn : null;
            foreach (var at in released.Where(at => at >= back.At).Take(1))
            {
                var free = day(at);
                if (free > sentOn && (next is null || free <= next))
                {
                    yield return (free, free.DayNumber - sentOn.DayNumber);
                }
            }
        }
    }
}
