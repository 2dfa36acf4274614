using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Journey;

/// <summary>What was typed while a case is counted. Kept by the form, so that a newer picture of the kit does not empty it.</summary>
public sealed class CountForm
{
    private readonly Dictionary<string, string> _typed = [];

    /// <summary>What stands in an item's field.</summary>
    public string this[string itemId]
    {
        get => _typed.GetValueOrDefault(itemId, string.Empty);
        set => _typed[itemId] = value;
    }

    /// <summary>Empties every field.</summary>
    public void Clear() => _typed.Clear();

    /// <summary>The number in an item's field; absent while there is none.</summary>
    public int? Number(string itemId) =>
        int.TryParse(this[itemId].Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number <= ItemRules.MostOfOne ? number : null;

    /// <summary>What was counted; an empty field is not counted.</summary>
    public IReadOnlyList<ItemCount> Counts(IReadOnlyList<KitItem> items) =>
        [.. from item in items let number = Number(item.ItemId) where number is not null select new ItemCount(item.ItemId, number.Value)];

    /// <summary>What is still to be filled in or put right, as a sentence; absent when all is there.</summary>
    public string? Lacking(IReadOnlyList<KitItem> items, bool all)
    {
        var wrong = items.Where(item => this[item.ItemId].Trim().Length > 0 && Number(item.ItemId) is null).ToList();
        var open = items.Count(item => Number(item.ItemId) is null);
        return wrong.Count > 0 ? $"A count is a whole number from 0 to {ItemRules.MostOfOne}: {string.Join(", ", wrong.Select(item => item.Kind))}."
            : all && open > 0 ? $"{open} of {items.Count} lines still {(open == 1 ? "needs" : "need")} a count."
            : null;
    }

    /// <summary>Lines with fewer than must be there.</summary>
    public IReadOnlyList<KitItem> Short(IReadOnlyList<KitItem> items) => [.. items.Where(item => Number(item.ItemId) < item.ParCount)];
}
