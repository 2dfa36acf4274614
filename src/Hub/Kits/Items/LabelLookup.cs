using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage;
using TeleHearing.Logistics.Labels;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Says what a scanned or typed text is: a kit, an item, a slip of the hand, or nothing of ours.</summary>
internal sealed class LabelLookup(KitFactStore store)
{
    /// <summary>Looks a text up.</summary>
    public async Task<ScanReply> Find(string? text, CancellationToken cancellationToken)
    {
        var kits = await store.States(cancellationToken);

        // Who reads the number off the case types that and not the code under the pattern.
        if (kits.Keys.FirstOrDefault(kit => string.Equals(kit, text?.Trim(), StringComparison.OrdinalIgnoreCase)) is { } named)
        {
            return new ScanReply(ScanFinding.Kit, new KitId(named), null, $"This is {named}.");
        }

        return LabelReader.Read(text, code => Kits(kits, code).Any(kit => code.Item is null || Item(kit.Value, code) is not null)) switch
        {
            LabelReading.Ours ours => Known(kits, ours.Code),
            LabelReading.Mistyped mistyped => new ScanReply(ScanFinding.Mistyped, null, null, $"Mistyped or damaged: the check character does not fit. {mistyped.Sentence}"),
            LabelReading.Foreign foreign => new ScanReply(ScanFinding.Foreign, null, null, $"Not one of ours. {foreign.Sentence}"),
            _ => throw new InvalidOperationException("A text is ours, mistyped or foreign."),
        };
    }

    private static ScanReply Known(IReadOnlyDictionary<string, KitState> kits, LabelCode code)
    {
        var found = Kits(kits, code).ToList();
        if (found.Count != 1)
        {
            return new ScanReply(
                ScanFinding.UnknownKit,
                null,
                code.Item,
                found.Count == 0
                    ? $"The label is right, and this hub has no kit {code.Kit}. It may belong to another clinic: look for an address on the case."
                    : $"The label is right, and several kits share it: {string.Join(", ", found.Select(kit => kit.Key))}. Open the right one from the list of kits.");
        }

        var (name, state) = (found[0].Key, found[0].Value);
        if (code.Item is null)
        {
            return new ScanReply(ScanFinding.Kit, new KitId(name), null, $"This is {name}.");
        }

        return Item(state, code) is { } item
            ? new ScanReply(ScanFinding.Item, new KitId(name), item.ItemId, $"This is {item.Kind} ({item.ItemId}) of {name}.")
            : new ScanReply(ScanFinding.UnknownItem, new KitId(name), code.Item, $"The label is of {name}, and nothing on its list has the id {code.Item}. Look at its contents.");
    }

    private static IEnumerable<KeyValuePair<string, KitState>> Kits(IReadOnlyDictionary<string, KitState> kits, LabelCode code) => kits.Where(kit => code.IsOf(kit.Key));

    private static KitItem? Item(KitState state, LabelCode code) => state.Items.FirstOrDefault(item => LabelCode.Plain(item.ItemId) == code.Item);
}
