using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Simulation.Parts;

namespace TeleHearing.Simulation.Invariants;

/// <summary>What the hub's database holds at the end, read past the hub's own stores.</summary>
/// <param name="Events">Events of the session, in order.</param>
/// <param name="Rows">The same as stored.</param>
/// <param name="Other">Events of the other session.</param>
/// <param name="Receipts">Receipts kept, by the id of their command.</param>
/// <param name="Cursors">How far each journal is held.</param>
/// <param name="Version">Version of the session by its own row.</param>
internal sealed record Record(
    IReadOnlyList<RecordedEvent> Events,
    IReadOnlyList<SessionEventRow> Rows,
    IReadOnlyList<SessionEvent> Other,
    IReadOnlySet<Guid> Receipts,
    IReadOnlyDictionary<Guid, long> Cursors,
    long Version)
{
    public static Record Read(World world)
    {
        var services = world.Hubs[^1].Services;
        var seals = services.GetRequiredService<Seals>();
        using var context = services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext();
        var session = Clinic.One.Session.Value;
        var other = Clinic.One.OtherSession.Value;
        var rows = context.SessionEvents.AsNoTracking().Where(row => row.SessionId == session).OrderBy(row => row.Sequence).ToList();
        return new Record(
            [.. rows.Select(row => new RecordedEvent(row.Sequence, new DateTimeOffset(row.TimeTicks, TimeSpan.Zero), EventCatalog.Read(row.Kind, row.Shape, seals.Open(row))))],
            rows,
            [.. context.SessionEvents.AsNoTracking().Where(row => row.SessionId == other).OrderBy(row => row.Sequence).ToList().Select(row => EventCatalog.Read(row.Kind, row.Shape, seals.Open(row)))],
            context.CommandReceipts.AsNoTracking().Select(row => row.CommandId).ToHashSet(),
            context.KitCursors.AsNoTracking().ToDictionary(row => row.JournalId, row => row.AcknowledgedSequence),
            context.Sessions.AsNoTracking().Single(row => row.SessionId == session).Version);
    }
}
