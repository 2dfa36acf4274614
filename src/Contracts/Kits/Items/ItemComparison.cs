using System.Globalization;

namespace TeleHearing.Contracts;

/// <summary>What a new list of items changes against the one before. Pure.</summary>
public static class ItemComparison
{
    /// <summary>Every change as a sentence, in the order of the new list; what was taken away last.</summary>
    public static IReadOnlyList<string> Changes(IReadOnlyList<KitItem> before, IReadOnlyList<KitItem> after)
    {
        var changes = new List<string>();
        foreach (var item in after)
        {
            if (Find(before, item) is not { } old)
            {
                changes.Add(string.Create(CultureInfo.InvariantCulture, $"{item.ItemId} is new: {item.Kind}, {item.ExpectedCount}."));
            }
            else if (!old.Equals(item))
            {
                changes.Add($"{item.ItemId} ({item.Kind}) changes: {string.Join(", ", Fields(old, item))}.");
            }
        }

        changes.AddRange(before.Where(old => Find(after, old) is null).Select(old => $"{old.ItemId} ({old.Kind}) is taken from the list."));
        return changes;
    }

    /// <summary>Things that belong together of which only some were exchanged, as sentences: their calibration was made for the old pair.</summary>
    public static IReadOnlyList<string> BrokenPairs(IReadOnlyList<KitItem> before, IReadOnlyList<KitItem> after)
    {
        var sentences = new List<string>();
        foreach (var pair in before.Where(item => item.Pairing is not null).GroupBy(item => item.Pairing).Where(pair => pair.Count() > 1))
        {
            var exchanged = pair.Where(old => Find(after, old) is not { } now || now.Serial != old.Serial || now.Pairing != old.Pairing).ToList();
            if (exchanged.Count > 0 && exchanged.Count < pair.Count())
            {
                sentences.Add($"{Names(exchanged)} {(exchanged.Count == 1 ? "is" : "are")} exchanged, and {Names(pair.Except(exchanged))} {(pair.Count() - exchanged.Count == 1 ? "stays" : "stay")}. They belong together (\"{pair.Key}\"): the calibration holds for them as a pair only, so a new one is needed.");
            }
        }

        return sentences;
    }

    private static string Names(IEnumerable<KitItem> items) => string.Join(" and ", items.Select(item => item.Serial is null ? item.Kind : $"{item.Kind} {item.Serial}"));

    private static KitItem? Find(IReadOnlyList<KitItem> items, KitItem like) =>
        items.FirstOrDefault(item => string.Equals(item.ItemId, like.ItemId, StringComparison.OrdinalIgnoreCase));

    private static IEnumerable<string> Fields(KitItem old, KitItem now)
    {
        foreach (var (name, was, becomes) in Pairs(old, now))
        {
            if (was != becomes)
            {
                yield return $"{name} {was ?? "none"} → {becomes ?? "none"}";
            }
        }
    }

    private static IEnumerable<(string Name, string? Was, string? Becomes)> Pairs(KitItem old, KitItem now) =>
    [
        ("id", old.ItemId, now.ItemId),
        ("kind", old.Kind, now.Kind),
        ("expected", Number(old.ExpectedCount), Number(now.ExpectedCount)),
        ("at least", Number(old.ParCount), Number(now.ParCount)),
        ("serial", old.Serial, now.Serial),
        ("single-use", YesNo(old.SingleUse), YesNo(now.SingleUse)),
        ("lot", old.Lot, now.Lot),
        ("last day", Day(old.Expiry), Day(now.Expiry)),
        ("touches", old.Contact.ToString().ToLowerInvariant(), now.Contact.ToString().ToLowerInvariant()),
        ("wipe-safe", YesNo(old.WipeSafe), YesNo(now.WipeSafe)),
        ("contact time s", Number(old.ContactTimeSeconds), Number(now.ContactTimeSeconds)),
        ("needs certificate", YesNo(old.NeedsCertificate), YesNo(now.NeedsCertificate)),
        ("belongs to", old.Pairing, now.Pairing),
        ("kg", Number(old.MassKg), Number(now.MassKg)),
        ("litres", Number(old.VolumeL), Number(now.VolumeL)),
        ("battery", Battery(old.Battery), Battery(now.Battery)),
    ];

    private static string YesNo(bool value) => value ? "yes" : "no";

    private static string? Number(double? value) => value?.ToString(CultureInfo.InvariantCulture);

    private static string? Day(DateOnly? day) => day?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string? Battery(ItemBattery? battery) => battery is null
        ? null
        : string.Create(CultureInfo.InvariantCulture, $"{battery.Batteries} × {battery.WattHours} Wh, {battery.Cells} cells, {(battery.InEquipment ? "in equipment" : "beside it")}");
}
