using System.Data.Common;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Audit;

/// <summary>Writes the audit. Its entries share transactions, and so syncs of the disk, with each other and with what is appended to the log.</summary>
internal sealed class AuditLog(IEventLog log)
{
    /// <summary>Writes an entry and waits until it is durable.</summary>
    /// <exception cref="DbUpdateException">It could not be written.</exception>
    public Task Write(AuditEntry entry) => Write(entry, late: false);

    /// <summary>Writes an entry of something that stands durable in its own log already: it may wait a moment for others.</summary>
    /// <exception cref="DbUpdateException">It could not be written.</exception>
    public Task WriteLate(AuditEntry entry) => Write(entry, late: true);

    private async Task Write(AuditEntry entry, bool late)
    {
        try
        {
            await log.Append(new AppendRows { Audit = [new AuditText(entry.Act, AuditEntry.Shape, entry.Payload())], Late = late }, CancellationToken.None);
        }
        catch (Exception fault) when (fault is DbException or DbUpdateException or IOException)
        {
            throw new DbUpdateException("The audit could not be written.", fault);
        }
        catch (ObjectDisposedException)
        {
            throw new DbUpdateException("The hub is stopping and records nothing more.");
        }
    }
}
