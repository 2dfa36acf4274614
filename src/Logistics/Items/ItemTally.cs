namespace TeleHearing.Logistics.Items;

/// <summary>How many of an item somebody counted. The same item may be there more than once; its counts add up.</summary>
/// <param name="ItemId">Item.</param>
/// <param name="Count">How many, 0 or more.</param>
public sealed record ItemTally(string ItemId, int Count)
{
    /// <summary>Counts by item.</summary>
    /// <exception cref="ArgumentException">A count names no item, or cannot be right.</exception>
    internal static Dictionary<string, int> Sum(IReadOnlyList<ItemTally> tallies)
    {
        ArgumentNullException.ThrowIfNull(tallies);
        var sum = new Dictionary<string, int>();
        foreach (var tally in tallies)
        {
            if (string.IsNullOrWhiteSpace(tally?.ItemId))
            {
                throw new ArgumentException("A count must name its item.", nameof(tallies));
            }

            Require.Count(tally.Count, 0, ItemLine.MostCount, tally.ItemId);
            sum[tally.ItemId] = Math.Min(ItemLine.MostCount, sum.GetValueOrDefault(tally.ItemId) + tally.Count);
        }

        return sum;
    }
}
