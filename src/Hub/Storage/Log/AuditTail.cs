namespace TeleHearing.Hub.Storage.Log;

/// <summary>Adds entries to the end of the audit, inside the transaction of a group. Remembers the end for as long as nobody else writes.</summary>
internal sealed class AuditTail(LogStatements sql, TimeProvider time)
{
    private End? _end;

    /// <summary>Chains and adds entries.</summary>
    /// <param name="entries">What happened.</param>
    /// <param name="seen">Number of the last change by somebody else: the verbs of the command line write the same chain from another process.</param>
    public async Task Add(IReadOnlyList<AuditText> entries, long seen)
    {
        if (entries.Count == 0)
        {
            return;
        }

        if (sql.TakeAudit is { } take)
        {
            await take.Run();
        }

        var end = _end is { } known && known.Seen == seen && seen > SessionMark.Unseen ? known : await Read(seen);

        // Taken back below when the transaction fails: a writer on which something failed is not used again.
        _end = null;
        var now = Math.Max(time.GetUtcNow().UtcTicks, end.TimeTicks);
        foreach (var link in HashChain.Extend(end.Hash, AuditEntryRow.Chain, end.Sequence, now, entries.Select(entry => (entry.Kind, entry.Shape, entry.Payload))))
        {
            await sql.AddAudit.Run(link.Sequence, link.Kind, link.Shape, link.Payload, link.TimeTicks, link.PreviousHash, link.Hash);
            end = new End(seen, link.Sequence, link.Hash, link.TimeTicks);
        }

        await sql.MoveAudit.Run(end.Sequence);
        _end = end;
    }

    private async Task<End> Read(long seen) =>
        await sql.AuditHead.First() is [long sequence, byte[] hash, long timeTicks] ? new End(seen, sequence, hash, timeTicks) : new End(seen, 0, HashChain.Start, 0);

    private sealed record End(long Seen, long Sequence, byte[] Hash, long TimeTicks);
}
