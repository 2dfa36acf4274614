namespace TeleHearing.Logistics.Fleet;

/// <summary>An answer to "how many kits": fleet sizes against refused loans, what a day less buys, and what all of it takes for granted.</summary>
/// <param name="Question">What was asked.</param>
/// <param name="OfferedLoad">Kits that would be out on average if none were refused.</param>
/// <param name="Kits">Smallest number of kits at work that keeps the target; absent when none up to <see cref="Load.MostKits"/> does.</param>
/// <param name="KitsToOwn">The same divided by the availability, rounded up.</param>
/// <param name="Table">Fleet sizes around it.</param>
/// <param name="DaysLess">What one day less, and two and three, would buy.</param>
/// <param name="Assumptions">What it rests on; to be shown beside the numbers.</param>
public sealed record FleetAdvice(
    FleetQuestion Question,
    double OfferedLoad,
    int? Kits,
    int? KitsToOwn,
    IReadOnlyList<FleetRow> Table,
    IReadOnlyList<FleetSaving> DaysLess,
    IReadOnlyList<FleetAssumption> Assumptions)
{
    /// <summary>Rows shown below and above the advised size (design).</summary>
    private const int RowsBelow = 6;
    private const int RowsAbove = 3;
    private const int MostDaysLess = 3;

    /// <summary>Answers.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The question has faults; the message holds them all.</exception>
    public static FleetAdvice For(FleetQuestion question)
    {
        ArgumentNullException.ThrowIfNull(question);
        var faults = question.Faults();
        if (faults.Count > 0)
        {
            throw new ArgumentOutOfRangeException(faults[0].Field, string.Join(" ", faults));
        }

        var load = Load.Offered(question.LoansPerWeek, question.CycleDays);
        var kits = ErlangB.SmallestFleet(load, question.RefusedTarget);
        var middle = kits ?? Load.MostKits;
        var first = Math.Max(1, middle - RowsBelow);
        var last = Math.Min(Load.MostKits, middle + RowsAbove);
        return new FleetAdvice(
            question,
            load,
            kits,
            Owned(kits, question),
            [.. Enumerable.Range(first, last - first + 1).Select(count => FleetRow.Of(count, load, question))],
            [.. Enumerable.Range(1, MostDaysLess).Where(days => days < question.CycleDays).Select(days => Saving(days, middle, question))],
            FleetAssumption.All);
    }

    private static FleetSaving Saving(int daysLess, int kits, FleetQuestion question)
    {
        var cycle = question.CycleDays - daysLess;
        var load = Load.Offered(question.LoansPerWeek, cycle);
        var needed = ErlangB.SmallestFleet(load, question.RefusedTarget);
        var served = kits == 0 ? 0 : ErlangB.HighestLoad(kits, question.RefusedTarget) * Load.DaysPerWeek / cycle;
        return new FleetSaving(daysLess, cycle, load, ErlangB.Refused(load, kits), needed, Owned(needed, question), served);
    }

    private static int? Owned(int? kits, FleetQuestion question) => kits is { } count ? Availability.KitsToOwn(count, question.Availability) : null;
}
