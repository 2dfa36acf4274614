using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Storage;

/// <summary>Adds facts of a kit inside the transaction of an append.</summary>
internal static class KitFactWriter
{
    /// <returns>False when somebody was faster: the kit has other facts than it was loaded with.</returns>
    public static async Task<bool> Add(HubContext context, KitFactAppend append, long nowTicks, CancellationToken cancellationToken)
    {
        var state = append.Loaded.State;
        var kitId = state.KitId.Value;
        if ((await context.KitFacts.Where(row => row.KitId == kitId).MaxAsync(row => (long?)row.Sequence, cancellationToken) ?? 0) != state.Version)
        {
            return false;
        }

        // Kept from running backwards, as in a session.
        var now = Math.Max(nowTicks, state.LastAt?.UtcTicks ?? 0);
        var links = HashChain.Extend(append.Loaded.HeadHash, KitFactRow.ChainOf(kitId), state.Version, now, append.Facts.Select(KitFactCatalog.Write));
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
        var place = append.Facts.OfType<KitMoved>().LastOrDefault()?.Place;
        await context.Kits.Where(row => row.KitId == kitId).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.FactVersion, version).SetProperty(row => row.Where, row => place ?? row.Where),
            cancellationToken);
        return true;
    }
}
