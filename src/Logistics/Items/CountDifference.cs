using System.Text.Json.Serialization;

namespace TeleHearing.Logistics.Items;

/// <summary>An item of which two counts differ.</summary>
/// <param name="ItemId">Item.</param>
/// <param name="Before">Count before, such as when it was packed.</param>
/// <param name="After">Count after, such as when it came back.</param>
/// <param name="Kind">What the difference is.</param>
public sealed record CountDifference(string ItemId, int Before, int After, CountDifferenceKind Kind)
{
    /// <summary>After less before.</summary>
    public int Change => After - Before;

    /// <summary>All differences of two counts: items of the case in the order of its lines, then others by name.</summary>
    /// <param name="lines">What belongs in the case.</param>
    /// <param name="before">First count.</param>
    /// <param name="after">Second count.</param>
    /// <exception cref="ArgumentOutOfRangeException">A count cannot be right.</exception>
    public static IReadOnlyList<CountDifference> Between(IReadOnlyList<ItemLine> lines, IReadOnlyList<ItemTally> before, IReadOnlyList<ItemTally> after)
    {
        ArgumentNullException.ThrowIfNull(lines);
        var (first, second) = (ItemTally.Sum(before), ItemTally.Sum(after));
        var listed = lines.Select(line => line.ItemId).Distinct().ToList();
        var singleUse = lines.Where(line => line.SingleUse).Select(line => line.ItemId).ToHashSet();
        var others = first.Keys.Union(second.Keys).Except(listed).Where(item => first.GetValueOrDefault(item) != second.GetValueOrDefault(item)).Order(StringComparer.Ordinal).ToList();
        return
        [
            .. from item in listed
               let counts = (Before: first.GetValueOrDefault(item), After: second.GetValueOrDefault(item))
               where counts.Before != counts.After
               select new CountDifference(item, counts.Before, counts.After, Judge(counts.After > counts.Before, singleUse.Contains(item))),
            .. others.Select(item => new CountDifference(item, first.GetValueOrDefault(item), second.GetValueOrDefault(item), CountDifferenceKind.NotListed)),
        ];
    }

    private static CountDifferenceKind Judge(bool more, bool singleUse) =>
        more ? CountDifferenceKind.More : singleUse ? CountDifferenceKind.UsedUp : CountDifferenceKind.Missing;
}

/// <summary>What a difference of two counts is.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CountDifferenceKind>))]
public enum CountDifferenceKind
{
    /// <summary>Fewer than before, of something that is kept.</summary>
    Missing,

    /// <summary>Fewer than before, of something that is used once: expected.</summary>
    UsedUp,

    /// <summary>More than before.</summary>
    More,

    /// <summary>Something that does not belong in this case.</summary>
    NotListed,
}
