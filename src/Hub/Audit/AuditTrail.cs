using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Audit;

/// <summary>Leaves a trail of what goes through the doors of the rights table: what each row wants, and every refusal.</summary>
internal sealed partial class AuditTrail(AuditLog log, RefusalCounter counter, TimeProvider time, ILogger<AuditTrail> logger)
{
    /// <summary>Before something is shown or done whose row wants it recorded first. What cannot be recorded must not be done.</summary>
    /// <exception cref="DbUpdateException">It could not be recorded.</exception>
    public Task Before(Caller? caller, string door, IReadOnlyList<string> about) =>
        RightsTable.Row(door)?.Trail == Trail.Before ? log.Write(Entry(caller, door, about, null)) : Task.CompletedTask;

    /// <summary>After something was answered.</summary>
    /// <param name="caller">Who asked; absent when nobody knows.</param>
    /// <param name="door">Which door.</param>
    /// <param name="about">What it was about.</param>
    /// <param name="refused">Code of the refusal; absent when it was done.</param>
    /// <exception cref="DbUpdateException">A refusal could not be recorded.</exception>
    public Task After(Caller? caller, string door, IReadOnlyList<string> about, string? refused)
    {
        if (refused is not null)
        {
            return Refused(Entry(caller, door, about, refused));
        }

        if (RightsTable.Row(door)?.Trail == Trail.Follows)
        {
            // It stands in a log of its own already, durable and with who did it. Nobody waits for the audit to list it too.
            _ = Follow(Entry(caller, door, about, null));
        }

        return Task.CompletedTask;
    }

    /// <summary>An act that has no door.</summary>
    /// <param name="act">One of <see cref="AuditActs"/>.</param>
    /// <param name="personId">Who did it; absent when nobody knows.</param>
    /// <param name="refused">Code of the refusal; absent when it was done.</param>
    /// <param name="about">What it was about: ids and kinds.</param>
    /// <exception cref="DbUpdateException">It could not be recorded.</exception>
    public Task Act(string act, string? personId, string? refused = null, params IReadOnlyList<string> about)
    {
        var entry = new AuditEntry(act, personId, null, about, refused);
        return refused is null ? log.Write(entry) : Refused(entry);
    }

    /// <summary>An act that stands exactly when what the caller does stands: recorded in its transaction.</summary>
    /// <param name="context">Context whose transaction has begun.</param>
    /// <param name="act">One of <see cref="AuditActs"/>.</param>
    /// <param name="personId">Who did it; absent when nobody knows.</param>
    /// <param name="about">What it was about: ids and kinds.</param>
    public Task Within(HubContext context, string act, string? personId, params IReadOnlyList<string> about) =>
        AuditChain.Append(context, [new AuditEntry(act, personId, null, about, null)], time.GetUtcNow());

    /// <summary>What nobody waits for: how long the disk takes, and whether a refusal is written or counted, must not be read from the answer.</summary>
    /// <param name="act">One of <see cref="AuditActs"/>.</param>
    /// <param name="personId">Whose account; absent when nobody has it.</param>
    /// <param name="refused">Code of the refusal; absent when it is none.</param>
    public void Later(string act, string? personId, string? refused = null)
    {
        var wanted = new AuditEntry(act, personId, null, [], refused);
        foreach (var entry in refused is null ? [wanted] : counter.Take(wanted))
        {
            _ = Follow(entry);
        }
    }

    /// <summary>Writes what was counted.</summary>
    public Task Flush(bool everything) => Task.WhenAll(counter.Due(everything).Select(log.Write));

    private Task Refused(AuditEntry entry) => Task.WhenAll(counter.Take(entry).Select(log.Write));

    private async Task Follow(AuditEntry entry)
    {
        try
        {
            await log.WriteLate(entry);
        }
        catch (DbUpdateException fault)
        {
            Log.NotListed(logger, fault, entry.Act);
        }
    }

    private static AuditEntry Entry(Caller? caller, string door, IReadOnlyList<string> about, string? refused) =>
        new(door, (caller as PersonCaller)?.Id, (caller as KitCaller)?.KitId.Value, about, refused);

    private static partial class Log
    {
        [LoggerMessage(EventId = 1501, Level = LogLevel.Error, Message = "The audit does not list {Act}")]
        public static partial void NotListed(ILogger logger, Exception fault, string act);
    }
}
