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
        var previous = append.Loaded.HeadHash;
        foreach (var fact in append.Facts)
        {
            var (name, shape, payload) = KitFactCatalog.Write(fact);
            var sequence = state.Version + 1;
            var hash = HashChain.Next(previous, KitFactRow.ChainOf(kitId), sequence, name, shape, now, payload);
            context.KitFacts.Add(new KitFactRow
            {
                KitId = kitId,
                Sequence = sequence,
                Kind = name,
                Shape = shape,
                Payload = payload,
                TimeTicks = now,
                PreviousHash = previous,
                Hash = hash,
            });
            previous = hash;
            state = KitFold.Apply(state, new RecordedFact(sequence, new DateTimeOffset(now, TimeSpan.Zero), fact));
        }

        // Saved before the projection is moved on: a lost race must not touch it.
        await context.SaveChangesAsync(cancellationToken);
        var place = append.Facts.OfType<KitMoved>().LastOrDefault()?.Place;
        await context.Kits.Where(row => row.KitId == kitId).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.FactVersion, state.Version).SetProperty(row => row.Where, row => place ?? row.Where),
            cancellationToken);
        return true;
    }
}
