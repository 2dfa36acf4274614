using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Journey;

/// <summary>What was typed while a case is counted. Kept by the form, so that a newer picture of the kit does not empty it.</summary>
public sealed class CountForm
{
    private readonly Dictionary<string, string> _typed = [];

    /// <summary>Whether it was said that more than belong are really there.</summary>
    public bool Sure { get; set; }

    /// <summary>What stands in an item's field.</summary>
    public string this[string itemId]
    {
        get => _typed.GetValueOrDefault(itemId, string.Empty);
        set => (_typed[itemId], Sure) = (value, false);
    }

    /// <summary>Empties every field.</summary>
    public void Clear()
    {
        _typed.Clear();
        Sure = false;
    }

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
            : Over(items) is { Count: > 0 } over && !Sure ? $"More than belong: {string.Join(", ", over.Select(item => item.Kind))}. Count again, or tick that it is so."
            : null;
    }

    /// <summary>What a count of discarded things still lacks: each line the checklist asks a number for has one, and none is more than was there.</summary>
    /// <param name="items">What belongs in the case.</param>
    /// <param name="asked">Ids of things to be discarded and counted.</param>
    /// <param name="inCase">How many there were as far as is known.</param>
    public string? DiscardLacking(IReadOnlyList<KitItem> items, IReadOnlyCollection<string> asked, IReadOnlyList<ItemCount> inCase)
    {
        int There(KitItem item) => inCase.FirstOrDefault(line => line.ItemId == item.ItemId)?.Count ?? item.ExpectedCount;
        var wrong = items.Where(item => this[item.ItemId].Trim().Length > 0 && Number(item.ItemId) is null).ToList();
        var open = items.Where(item => asked.Contains(item.ItemId) && Number(item.ItemId) is null).ToList();
        var more = items.Where(item => Number(item.ItemId) > There(item)).ToList();
        return wrong.Count > 0 ? $"A count is a whole number from 0 to {ItemRules.MostOfOne}: {string.Join(", ", wrong.Select(item => item.Kind))}."
            : more.Count > 0 ? $"More cannot be discarded than was in the case: {string.Join(", ", more.Select(item => string.Create(CultureInfo.InvariantCulture, $"{item.Kind} ({There(item)})")))}. If there were more, count the contents first."
            : open.Count > 0 ? $"Say how many were discarded, 0 when none: {string.Join(", ", open.Select(item => item.Kind))}."
            : null;
    }

    /// <summary>Lines with more than belong.</summary>
    public IReadOnlyList<KitItem> Over(IReadOnlyList<KitItem> items) => [.. items.Where(item => Number(item.ItemId) > item.ExpectedCount)];

    /// <summary>Lines with fewer than must be there.</summary>
    public IReadOnlyList<KitItem> Short(IReadOnlyList<KitItem> items) => [.. items.Where(item => Number(item.ItemId) < item.ParCount)];
}
