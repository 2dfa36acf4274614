using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>Adds facts of a kit inside the transaction of an append.</summary>
internal static class KitFactWriter
{
    /// <returns>False when somebody was faster: the kit has other facts than it was loaded with.</returns>
    public static async Task<bool> Add(HubContext context, KitFactAppend append, Seals seals, long nowTicks, CancellationToken cancellationToken)
    {
        var state = append.Loaded.State;
        var kitId = state.KitId.Value;
        if ((await context.KitFacts.Where(row => row.KitId == kitId).MaxAsync(row => (long?)row.Sequence, cancellationToken) ?? 0) != state.Version)
        {
            return false;
        }

        var links = Chain(append, kitId, seals, nowTicks);
        context.KitFacts.AddRange(links.Select(link => new KitFactRow
        {
            KitId = kitId,
            Sequence = link.Sequence,
            Kind = link.Kind,
            Shape = link.Shape,
            Payload = link.Payload,
            TimeTicks = link.TimeTicks,
            PreviousHash = link.PreviousHash,
            Hash = link.Hash,
        }));
        var version = state.Version + links.Count;

        // Saved before the projection is moved on: a lost race must not touch it.
        await context.SaveChangesAsync(cancellationToken);
        var place = append.Facts.OfType<KitMoved>().LastOrDefault()?.Place is { } moved ? KitEntity.SealWhere(seals, kitId, moved) : null;
        await context.Kits.Where(row => row.KitId == kitId).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.FactVersion, version).SetProperty(row => row.SealedWhere, row => place ?? row.SealedWhere),
            cancellationToken);
        await KitKeyWriter.Follow(context, state.KitId, append.Facts, nowTicks, cancellationToken);
        return true;
    }

    // Times are kept from running backwards, as in a session.
    private static List<ChainLink> Chain(KitFactAppend append, string kitId, Seals seals, long nowTicks)
    {
        var (head, version, last) = (append.Loaded.HeadHash, append.Loaded.State.Version, append.Loaded.State.LastAt?.UtcTicks ?? 0);
        var links = new List<ChainLink>();
        foreach (var (index, fact) in append.Facts.Index())
        {
            last = Math.Max(append.Times?[index].UtcTicks ?? nowTicks, last);
            var (name, shape, payload) = KitFactCatalog.Write(fact);
            links.AddRange(HashChain.Extend(head, KitFactRow.ChainOf(kitId), version, last, [(name, shape, seals.Close(KitFactRow.ChainOf(kitId), version + 1, payload))]));
            (head, version) = (links[^1].Hash, links[^1].Sequence);
        }

        return links;
    }
}
