namespace TeleHearing.Logistics.Items;

/// <summary>Things that belong together, of which some are there and some are not: a transducer without the unit it was calibrated with.</summary>
/// <param name="PairingGroup">Their mark.</param>
/// <param name="There">Items that are there.</param>
/// <param name="Lacking">Items of which some are lacking.</param>
public sealed record BrokenPairing(string PairingGroup, IReadOnlyList<string> There, IReadOnlyList<string> Lacking)
{
    /// <summary>All groups that are broken, by their marks.</summary>
    /// <param name="lines">What belongs in the case.</param>
    /// <param name="counted">What was counted.</param>
    /// <exception cref="ArgumentOutOfRangeException">A count cannot be right.</exception>
    public static IReadOnlyList<BrokenPairing> Of(IReadOnlyList<ItemLine> lines, IReadOnlyList<ItemTally> counted)
    {
        ArgumentNullException.ThrowIfNull(lines);
        var there = ItemTally.Sum(counted);
        return
        [
            .. from line in lines
               where line.PairingGroup is not null
               group line by line.PairingGroup into pair
               let whole = pair.ToLookup(line => there.GetValueOrDefault(line.ItemId) >= line.ExpectedCount, line => line.ItemId)
               where whole[true].Any() && whole[false].Any()
               orderby pair.Key
               select new BrokenPairing(pair.Key, [.. whole[true]], [.. whole[false]]),
        ];
    }
}
