using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>Adds facts of the fleet inside the transaction of an append.</summary>
internal static class FleetFactWriter
{
    /// <returns>False when somebody was faster: the fleet has other facts than it was loaded with.</returns>
    public static async Task<bool> Add(HubContext context, FleetFactAppend append, Seals seals, long nowTicks, CancellationToken cancellationToken)
    {
        var state = append.Loaded.State;
        if ((await context.FleetFacts.MaxAsync(row => (long?)row.Sequence, cancellationToken) ?? 0) != state.Version)
        {
            return false;
        }

        var links = Chain(append, seals, nowTicks);
        context.FleetFacts.AddRange(links.Select(link => new FleetFactRow
        {
            Sequence = link.Sequence,
            Kind = link.Kind,
            Shape = link.Shape,
            Payload = link.Payload,
            TimeTicks = link.TimeTicks,
            PreviousHash = link.PreviousHash,
            Hash = link.Hash,
        }));
        var version = state.Version + links.Count;

        // Saved before the count is moved on: a lost race must not touch it.
        await context.SaveChangesAsync(cancellationToken);
        if (await context.FleetHeads.Where(row => row.Id == 1).ExecuteUpdateAsync(set => set.SetProperty(row => row.FactVersion, version), cancellationToken) == 0)
        {
            context.FleetHeads.Add(new FleetHeadRow { Id = 1, FactVersion = version });
        }

        return true;
    }

    // Times are kept from running backwards, as in a session.
    private static List<ChainLink> Chain(FleetFactAppend append, Seals seals, long nowTicks)
    {
        var (head, version, last) = (append.Loaded.HeadHash, append.Loaded.State.Version, append.Loaded.State.LastAt?.UtcTicks ?? 0);
        var links = new List<ChainLink>();
        foreach (var (index, fact) in append.Facts.Index())
        {
            last = Math.Max(append.Times?[index].UtcTicks ?? nowTicks, last);
            var (name, shape, payload) = FleetFactCatalog.Write(fact);
            links.AddRange(HashChain.Extend(head, FleetFactRow.Chain, version, last, [(name, shape, seals.Close(FleetFactRow.Chain, version + 1, payload))]));
            (head, version) = (links[^1].Hash, links[^1].Sequence);
        }

        return links;
    }
}
