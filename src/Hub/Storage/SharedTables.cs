using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage;

/// <summary>A hub that runs on this database, by its own word of the last second.</summary>
internal sealed class RunningHubRow
{
    /// <summary>Changes with every start.</summary>
    public Guid HubId { get; set; }

    /// <summary>Machine and process, for people.</summary>
    public required string Name { get; set; }

    /// <summary>Version of the program.</summary>
    public required string Version { get; set; }

    /// <summary>When it started, UTC ticks of the database's clock.</summary>
    public long StartedTicks { get; set; }

    /// <summary>When it was last heard, UTC ticks of the database's clock.</summary>
    public long SeenTicks { get; set; }

    /// <summary>What it counts of itself, as JSON, for the owner's page.</summary>
    public required string Figures { get; set; }
}

/// <summary>Where a kit is linked.</summary>
internal sealed class KitLinkRow
{
    /// <summary>Kit.</summary>
    public required string KitId { get; set; }

    /// <summary>The hub that holds its newest link.</summary>
    public Guid HubId { get; set; }

    /// <summary>The link.</summary>
    public required string ConnectionId { get; set; }
}

/// <summary>When the console of whoever commands a session was last heard, by whichever hub.</summary>
internal sealed class ControlHeardRow
{
    /// <summary>Session.</summary>
    public Guid SessionId { get; set; }

    /// <summary>Whose console.</summary>
    public required string PersonId { get; set; }

    /// <summary>By which sign-in.</summary>
    public string? SignInId { get; set; }

    /// <summary>UTC ticks of the database's clock; zero when all consoles of the person were closed.</summary>
    public long HeardTicks { get; set; }
}

/// <summary>A console that is connected to one of the hubs.</summary>
internal sealed class LiveConsoleRow
{
    /// <summary>The connection.</summary>
    public required string ConnectionId { get; set; }

    /// <summary>To which hub.</summary>
    public Guid HubId { get; set; }

    /// <summary>Whose.</summary>
    public required string PersonId { get; set; }
}

/// <summary>A number that may be used once, until it would be refused for its age.</summary>
internal sealed class SeenOnceRow
{
    /// <summary>SHA-256 of the number with whose it is.</summary>
    public required byte[] NumberHash { get; set; }

    /// <summary>UTC ticks.</summary>
    public long UntilTicks { get; set; }
}

/// <summary>Something an owner has confirmed and may fetch once.</summary>
internal sealed class DataTicketRow
{
    /// <summary>Ticket.</summary>
    public Guid TicketId { get; set; }

    /// <summary>Who asked.</summary>
    public required string PersonId { get; set; }

    /// <summary>What for; sealed, since it may name a person or hold a passphrase.</summary>
    public required string SealedAsk { get; set; }

    /// <summary>Hub time, UTC ticks.</summary>
    public long MadeTicks { get; set; }
}

/// <summary>Tables of what hubs tell one another through the store.</summary>
internal static class SharedTables
{
    /// <summary>Shapes them.</summary>
    public static void Shape(ModelBuilder builder)
    {
        builder.Entity<RunningHubRow>(row =>
        {
            row.ToTable("running_hubs");
            row.HasKey(e => e.HubId);
            row.Property(e => e.HubId).ValueGeneratedNever();
        });
        builder.Entity<KitLinkRow>(row =>
        {
            row.ToTable("kit_links");
            row.HasKey(e => e.KitId);
        });
        builder.Entity<ControlHeardRow>(row =>
        {
            row.ToTable("control_heard");
            row.HasKey(e => new { e.SessionId, e.PersonId });
        });
        builder.Entity<LiveConsoleRow>(row =>
        {
            row.ToTable("live_consoles");
            row.HasKey(e => e.ConnectionId);
        });
        builder.Entity<SeenOnceRow>(row =>
        {
            row.ToTable("seen_once");
            row.HasKey(e => e.NumberHash);
        });
        builder.Entity<DataTicketRow>(row =>
        {
            row.ToTable("data_tickets");
            row.HasKey(e => e.TicketId);
            row.Property(e => e.TicketId).ValueGeneratedNever();
        });
    }
}
