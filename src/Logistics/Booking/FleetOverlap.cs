namespace TeleHearing.Logistics.Booking;

/// <summary>The most kits that a set of loans needs on one day: the smallest fleet that can serve them all.</summary>
/// <param name="Kits">Kits needed; none for no loans.</param>
/// <param name="FirstDay">First day on which so many are needed; absent for no loans.</param>
/// <param name="LoanIds">The loans of that day.</param>
public sealed record FleetOverlap(int Kits, DateOnly? FirstDay, IReadOnlyList<string> LoanIds)
{
    /// <summary>Finds the greatest overlap of the loans' days.</summary>
    /// <remarks>Intervals that overlap at most n at a time can be shared out to n kits, by giving each loan in order of its first day any kit that is free; so it is enough as well as needed.</remarks>
    /// <exception cref="ArgumentOutOfRangeException">A loan ends before it begins.</exception>
    public static FleetOverlap Greatest(IReadOnlyList<KitInterval> loans)
    {
        ArgumentNullException.ThrowIfNull(loans);
        foreach (var loan in loans)
        {
            loan.ThrowIfFaulty();
        }

        // At the same day ends come before beginnings: a kit that is free again may be sent the same day.
        var changes = loans.Select(loan => (Day: loan.From, Change: 1)).Concat(loans.Select(loan => (Day: loan.Until, Change: -1)))
            .OrderBy(change => change.Day).ThenBy(change => change.Change);
        var (now, most, first) = (0, 0, (DateOnly?)null);
        foreach (var (day, change) in changes)
        {
            now += change;
            if (now > most)
            {
                (most, first) = (now, day);
            }
        }

        return new FleetOverlap(most, first, [.. loans.Where(loan => loan.From <= first && first < loan.Until).Select(loan => loan.LoanId)]);
    }
}
