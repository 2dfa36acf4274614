using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Audit;

/// <summary>Appends entries to the chain of the audit within a transaction of the caller, which holds the store's one place for writing.</summary>
internal static class AuditChain
{
    /// <summary>Appends; durable once the caller commits.</summary>
    /// <param name="context">Context whose transaction has begun.</param>
    /// <param name="entries">What to append, in this order.</param>
    /// <param name="time">The hub's time; a chain never goes back in it.</param>
    public static async Task Append(HubContext context, IReadOnlyList<AuditEntry> entries, DateTimeOffset time)
    {
        await StoreTurn.Take(context, StoreTurn.Audit, CancellationToken.None);

        // Read each time: the verbs of the command line write the same chain from another process.
        var last = await context.AuditEntries.AsNoTracking().OrderByDescending(row => row.Sequence).FirstOrDefaultAsync(CancellationToken.None);
        var now = Math.Max(time.UtcTicks, last?.TimeTicks ?? 0);
        var links = HashChain.Extend(last?.Hash ?? HashChain.Start, AuditEntryRow.Chain, last?.Sequence ?? 0, now, entries.Select(entry => (entry.Act, AuditEntry.Shape, entry.Payload())));
        context.AuditEntries.AddRange(links.Select(link => new AuditEntryRow
        {
            Sequence = link.Sequence,
            Kind = link.Kind,
            Shape = link.Shape,
            Payload = link.Payload,
            TimeTicks = link.TimeTicks,
            PreviousHash = link.PreviousHash,
            Hash = link.Hash,
        }));
        await context.SaveChangesAsync(CancellationToken.None);
        var count = links[^1].Sequence;
        if (await context.AuditHeads.Where(row => row.Id == 1).ExecuteUpdateAsync(set => set.SetProperty(row => row.Entries, count), CancellationToken.None) == 0)
        {
            context.AuditHeads.Add(new AuditHeadRow { Id = 1, Entries = count });
            await context.SaveChangesAsync(CancellationToken.None);
        }
    }
}
