namespace TeleHearing.Logistics.Items;

/// <summary>What is to be put into a case.</summary>
/// <param name="ItemId">Item.</param>
/// <param name="Counted">How many are there.</param>
/// <param name="ToPar">How many are lacking before it may be sent; none when it may.</param>
/// <param name="ToExpected">How many are lacking until it is full.</param>
public sealed record RestockNeed(string ItemId, int Counted, int ToPar, int ToExpected)
{
    /// <summary>Whether the case may not be sent without it.</summary>
    public bool BelowPar => ToPar > 0;

    /// <summary>Everything lacking, in the order of the lines. What was not counted is not there.</summary>
    /// <param name="lines">What belongs in the case.</param>
    /// <param name="counted">What was counted.</param>
    /// <exception cref="ArgumentOutOfRangeException">A count cannot be right.</exception>
    public static IReadOnlyList<RestockNeed> Of(IReadOnlyList<ItemLine> lines, IReadOnlyList<ItemTally> counted)
    {
        ArgumentNullException.ThrowIfNull(lines);
        var there = ItemTally.Sum(counted);
        return
        [
            .. from line in lines
               let count = there.GetValueOrDefault(line.ItemId)
               where count < line.ExpectedCount
               select new RestockNeed(line.ItemId, count, Math.Max(0, line.ParCount - count), line.ExpectedCount - count),
        ];
    }
}
