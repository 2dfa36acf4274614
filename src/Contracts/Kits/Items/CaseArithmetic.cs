namespace TeleHearing.Contracts;

/// <summary>Sums over what belongs in a case.</summary>
/// <param name="MassKg">Mass of all things whose mass is known, kg.</param>
/// <param name="WithoutMass">Lines without a mass; the sum is then too small.</param>
/// <param name="VolumeL">Volume of all things whose volume is known, litres.</param>
/// <param name="WithoutVolume">Lines without a volume.</param>
/// <param name="Batteries">Lithium batteries in all.</param>
/// <param name="WattHours">Their energy, Wh.</param>
public sealed record CaseTotals(double MassKg, int WithoutMass, double VolumeL, int WithoutVolume, int Batteries, double WattHours)
{
    /// <summary>Sums a list.</summary>
    public static CaseTotals Of(IReadOnlyList<KitItem> items) => new(
        items.Sum(item => (item.MassKg ?? 0) * item.ExpectedCount),
        items.Count(item => item.MassKg is null),
        items.Sum(item => (item.VolumeL ?? 0) * item.ExpectedCount),
        items.Count(item => item.VolumeL is null),
        items.Sum(item => (item.Battery?.Batteries ?? 0) * item.ExpectedCount),
        items.Sum(item => (item.Battery?.WattHours ?? 0) * (item.Battery?.Batteries ?? 0) * item.ExpectedCount));
}

/// <summary>How an item of a later count stands to an earlier one.</summary>
public enum CountVerdict
{
    /// <summary>As many as before.</summary>
    Same,

    /// <summary>Fewer of a single-use thing: used, as it should be.</summary>
    Used,

    /// <summary>Fewer of a thing that comes back.</summary>
    Missing,

    /// <summary>More than before.</summary>
    More,

    /// <summary>Not counted on one of the two occasions.</summary>
    NotCounted,
}

/// <summary>A line of two counts side by side.</summary>
/// <param name="ItemId">Item.</param>
/// <param name="Kind">What it is; the id again for a thing that is not on the list any more.</param>
/// <param name="Expected">How many belong in the case; absent for a thing not on the list.</param>
/// <param name="Before">How many there were at the earlier count; absent when not counted.</param>
/// <param name="After">How many there were at the later count; absent when not counted.</param>
/// <param name="Verdict">How they stand to each other.</param>
public sealed record CountLine(string ItemId, string Kind, int? Expected, int? Before, int? After, CountVerdict Verdict);

/// <summary>Two counts of a case side by side. Pure.</summary>
public static class CountComparison
{
    /// <summary>A line for every item of the list, and for every counted thing that is not on it.</summary>
    public static IReadOnlyList<CountLine> Of(IReadOnlyList<KitItem> items, IReadOnlyList<ItemCount> before, IReadOnlyList<ItemCount> after)
    {
        var ids = items.Select(item => item.ItemId)
            .Concat(before.Select(count => count.ItemId))
            .Concat(after.Select(count => count.ItemId))
            .Distinct(StringComparer.OrdinalIgnoreCase);
        return
        [
            .. from id in ids
               let item = items.FirstOrDefault(known => string.Equals(known.ItemId, id, StringComparison.OrdinalIgnoreCase))
               let was = Find(before, id)
               let now = Find(after, id)
               select new CountLine(id, item?.Kind ?? id, item?.ExpectedCount, was, now, Judge(item, was, now)),
        ];
    }

    private static CountVerdict Judge(KitItem? item, int? before, int? after) => (before, after) switch
    {
        (null, _) or (_, null) => CountVerdict.NotCounted,
        var (was, now) when now == was => CountVerdict.Same,
        var (was, now) when now > was => CountVerdict.More,
        _ => item is { SingleUse: true } ? CountVerdict.Used : CountVerdict.Missing,
    };

    private static int? Find(IReadOnlyList<ItemCount> counts, string id) =>
        counts.FirstOrDefault(count => string.Equals(count.ItemId, id, StringComparison.OrdinalIgnoreCase))?.Count;
}
