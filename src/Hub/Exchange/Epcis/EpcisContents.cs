using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>What is in the case, and what belongs together, as events. Pure.</summary>
internal static class EpcisContents
{
    /// <summary>Things were put into the case. Whatever was in it by the events before is taken out first: nothing is put in twice.</summary>
    public static IEnumerable<EpcisEvent> PutIn(EpcisScene scene, string step, IReadOnlyList<ItemCount> counts)
    {
        var there = counts.Where(line => line.Count > 0)
            .DistinctBy(line => line.ItemId)
            .Select(line => (Item: scene.Before.Items.FirstOrDefault(item => item.ItemId == line.ItemId), line.Count))
            .Where(line => line.Item is not null)
            .ToList();
        var single = there.Where(line => line.Item!.Serial is not null).Select(line => scene.Ids.Thing(line.Item!.Serial!)).Distinct().ToList();
        var counted = there.Where(line => line.Item!.Serial is null).Select(line => new EpcisQuantity(scene.Ids.Kind(scene.KitId, line.Item!.ItemId), line.Count)).ToList();
        var emptied = TakenOut(scene, "unpacking");
        return single.Count + counted.Count == 0
            ? emptied
            : [.. emptied, Of(scene, EpcisEventType.AggregationEvent, EpcisAction.Add, step, scene.Case, single, counted) with { Disposition = "in_progress" }];
    }

    /// <summary>All that is in the case by the events before was taken out; nothing when nothing is.</summary>
    public static IEnumerable<EpcisEvent> TakenOut(EpcisScene scene, string step)
    {
        var (single, counted) = (scene.Hierarchy.Contained, scene.Hierarchy.Counted);
        return single.Count + counted.Count == 0
            ? []
            : [Of(scene, EpcisEventType.AggregationEvent, EpcisAction.Delete, step, scene.Case, single, counted) with { Disposition = "in_progress" }];
    }

    /// <summary>What belongs in the case was set: things with a serial number that are new go into service, pairs are joined, and pairs that are no more are parted.</summary>
    public static IEnumerable<EpcisEvent> Set(EpcisScene scene)
    {
        var things = scene.After.Items.Where(item => item.Serial is not null).Select(item => scene.Ids.Thing(item.Serial!)).Distinct().Where(thing => !scene.Hierarchy.Began(thing)).ToList();
        return
        [
            scene.Seen("assembling", null),
            .. things.Count == 0 ? Array.Empty<EpcisEvent>() : [scene.Seen("commissioning", "active") with { Action = EpcisAction.Add, Things = things }],
            .. Joined(scene),
        ];
    }

    /// <summary>Pairs as contents and gear tell them, against pairs as the events before tell them.</summary>
    public static IEnumerable<EpcisEvent> Joined(EpcisScene scene)
    {
        var (before, wanted) = (scene.Hierarchy.Joined, Pairs(scene));
        foreach (var (parent, child) in before.Except(wanted))
        {
            yield return Of(scene, EpcisEventType.AssociationEvent, EpcisAction.Delete, "disassembling", parent, [child], []);
        }

        foreach (var (parent, child) in wanted.Except(before))
        {
            yield return Of(scene, EpcisEventType.AssociationEvent, EpcisAction.Add, "assembling", parent, [child], []);
        }
    }

    /// <summary>Adds whether everything was there. Counts that leave a line of the list out say nothing of the whole.</summary>
    public static EpcisEvent Judged(EpcisEvent happened, IReadOnlyList<KitItem> items, IReadOnlyList<ItemCount> counts)
    {
        var counted = counts.GroupBy(line => line.ItemId).ToDictionary(line => line.Key, line => line.Last().Count);
        return items.Any(item => counted.TryGetValue(item.ItemId, out var there) && there < item.ParCount)
            ? happened with { Disposition = "mismatch_quantity", Lasting = ("mismatch_quantity", "completeness_verified") }
            : items.Any(item => item.ParCount > 0) && items.All(item => item.ParCount == 0 || counted.ContainsKey(item.ItemId))
            ? happened with { Disposition = "completeness_verified", Lasting = ("completeness_verified", "mismatch_quantity") }
            : happened;
    }

    /// <summary>Unit and transducers as the kit tells its gear, and pairs of the list. A thing belongs to one other at most; what the kit tells of itself counts first.</summary>
    private static List<(string Parent, string Child)> Pairs(EpcisScene scene)
    {
        var pairs = new List<(string Parent, string Child)>();
        if (scene.After.Gear is { } gear)
        {
            Join(gear.UnitSerial, gear.TransducerSerial);
            Join(gear.UnitSerial, gear.BoneVibrator?.Serial);
        }

        foreach (var pair in scene.After.Items.Where(item => item is { Pairing: not null, Serial: not null }).GroupBy(item => item.Pairing))
        {
            foreach (var item in pair.Skip(1))
            {
                Join(pair.First().Serial!, item.Serial);
            }
        }

        return pairs;

        void Join(string parent, string? child)
        {
            if (child is null || child == parent)
            {
                return;
            }

            var (unit, part) = (scene.Ids.Thing(parent), scene.Ids.Thing(child));
            if (pairs.All(known => known.Child != part && (known.Parent, known.Child) != (part, unit)))
            {
                pairs.Add((unit, part));
            }
        }
    }

    private static EpcisEvent Of(EpcisScene scene, EpcisEventType type, EpcisAction action, string step, string parent, IReadOnlyList<string> children, IReadOnlyList<EpcisQuantity> counted)
    {
        var seen = scene.Seen(step, null);
        return seen with { Type = type, Action = action, Things = [], Parent = parent, Children = children, Quantities = counted };
    }
}
