using Microsoft.AspNetCore.Identity.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Storage.Postgres;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>The one database context of the hub: the event log, what belongs to it, kits, the schedule, and the accounts.</summary>
public sealed class HubContext(DbContextOptions<HubContext> options, Seals seals) : IdentityDbContext<HubPerson>(options)
{
    internal Seals Seals { get; } = seals;

    internal DbSet<ErasureRow> Erasures => Set<ErasureRow>();

    internal DbSet<DataKeyRow> DataKeys => Set<DataKeyRow>();

    internal DbSet<SessionEventRow> SessionEvents => Set<SessionEventRow>();

    internal DbSet<CommandReceiptRow> CommandReceipts => Set<CommandReceiptRow>();

    internal DbSet<KitCursorRow> KitCursors => Set<KitCursorRow>();

    internal DbSet<KitFactRow> KitFacts => Set<KitFactRow>();

    internal DbSet<FleetFactRow> FleetFacts => Set<FleetFactRow>();

    internal DbSet<FleetHeadRow> FleetHeads => Set<FleetHeadRow>();

    internal DbSet<AuditEntryRow> AuditEntries => Set<AuditEntryRow>();

    internal DbSet<AuditHeadRow> AuditHeads => Set<AuditHeadRow>();

    internal DbSet<KitEntity> Kits => Set<KitEntity>();

    internal DbSet<SessionEntity> Sessions => Set<SessionEntity>();

    internal DbSet<SignInCodeRow> SignInCodes => Set<SignInCodeRow>();

    internal DbSet<SignInRow> SignIns => Set<SignInRow>();

    internal DbSet<InvitationRow> Invitations => Set<InvitationRow>();

    internal DbSet<PersonGuardRow> PersonGuards => Set<PersonGuardRow>();

    internal DbSet<RecoveryCodeRow> RecoveryCodes => Set<RecoveryCodeRow>();

    internal DbSet<EnrolmentCodeRow> EnrolmentCodes => Set<EnrolmentCodeRow>();

    internal DbSet<KitJournalKeyRow> KitJournalKeys => Set<KitJournalKeyRow>();

    internal DbSet<HubKeyRow> HubKeys => Set<HubKeyRow>();

    internal DbSet<ProtocolRow> Protocols => Set<ProtocolRow>();

    internal DbSet<ConsentTextRow> ConsentTexts => Set<ConsentTextRow>();

    internal DbSet<RunningHubRow> RunningHubs => Set<RunningHubRow>();

    internal DbSet<KitLinkRow> KitLinks => Set<KitLinkRow>();

    internal DbSet<ControlHeardRow> ControlHeard => Set<ControlHeardRow>();

    internal DbSet<LiveConsoleRow> LiveConsoles => Set<LiveConsoleRow>();

    internal DbSet<SeenOnceRow> SeenOnce => Set<SeenOnceRow>();

    internal DbSet<DataTicketRow> DataTickets => Set<DataTicketRow>();

    internal DbSet<SchemaVersionRow> SchemaVersions => Set<SchemaVersionRow>();

    /// <inheritdoc />
    public override int SaveChanges(bool acceptAllChangesOnSuccess)
    {
        SealRows();
        return base.SaveChanges(acceptAllChangesOnSuccess);
    }

    /// <inheritdoc />
    public override Task<int> SaveChangesAsync(bool acceptAllChangesOnSuccess, CancellationToken cancellationToken = default)
    {
        SealRows();
        return base.SaveChangesAsync(acceptAllChangesOnSuccess, cancellationToken);
    }

    /// <summary>Every row that is held, not only those known to have changed: what is sealed anew is what shows that an open text changed.</summary>
    private void SealRows()
    {
        foreach (var entry in ChangeTracker.Entries<ISealedRow>().Where(entry => entry.State is not (EntityState.Deleted or EntityState.Detached)).ToList())
        {
            entry.Entity.Seal(Seals);
        }
    }

    /// <inheritdoc />
    protected override void OnModelCreating(ModelBuilder builder)
    {
        base.OnModelCreating(builder);
        builder.Entity<SessionEventRow>(row =>
        {
            row.ToTable("session_events");
            // AUTOINCREMENT, so that a position is never given twice even if the newest row were removed by hand.
            row.HasKey(e => e.Position);
            row.Property(e => e.Position).ValueGeneratedOnAdd();
            row.HasIndex(e => new { e.SessionId, e.Sequence }).IsUnique();
        });
        builder.Entity<CommandReceiptRow>(row =>
        {
            row.ToTable("command_receipts");
            row.HasKey(e => e.CommandId);
            row.Ignore(e => e.ReceiptJson);
        });
        builder.Entity<KitCursorRow>(row =>
        {
            row.ToTable("kit_cursors");
            row.HasKey(e => e.JournalId);
        });
        builder.Entity<KitFactRow>(row =>
        {
            row.ToTable("kit_facts");
            row.HasKey(e => e.Position);
            row.Property(e => e.Position).ValueGeneratedOnAdd();
            row.HasIndex(e => new { e.KitId, e.Sequence }).IsUnique();
        });
        builder.Entity<FleetFactRow>(row =>
        {
            row.ToTable("fleet_facts");
            row.HasKey(e => e.Sequence);
            row.Property(e => e.Sequence).ValueGeneratedNever();
        });
        builder.Entity<FleetHeadRow>(row =>
        {
            row.ToTable("fleet_head");
            row.HasKey(e => e.Id);
            row.Property(e => e.Id).ValueGeneratedNever();
        });
        builder.Entity<AuditEntryRow>(row =>
        {
            row.ToTable("audit_entries");
            row.HasKey(e => e.Sequence);
            row.Property(e => e.Sequence).ValueGeneratedNever();
        });
        builder.Entity<AuditHeadRow>(row =>
        {
            row.ToTable("audit_head");
            row.HasKey(e => e.Id);
            row.Property(e => e.Id).ValueGeneratedNever();
        });
        builder.Entity<KitEntity>(row =>
        {
            row.ToTable("kits");
            row.HasKey(e => e.KitId);
            row.Ignore(e => e.Where);
        });
        builder.Entity<SessionEntity>(row =>
        {
            row.ToTable("sessions");
            row.HasKey(e => e.SessionId);
            row.Ignore(e => e.PersonReference).Ignore(e => e.PersonName).Ignore(e => e.BirthDate).Ignore(e => e.Referral).Ignore(e => e.Place).Ignore(e => e.ControllerName).Ignore(e => e.PersonLanguage);
            row.HasIndex(e => e.KitId);
        });
        builder.Entity<SignInCodeRow>(row =>
        {
            row.ToTable("sign_in_codes");
            row.HasKey(e => e.CodeHash);
        });
        builder.Entity<SignInRow>(row =>
        {
            row.ToTable("sign_ins");
            row.HasKey(e => e.SignInId);
            row.HasIndex(e => e.PersonId);
        });
        builder.Entity<InvitationRow>(row =>
        {
            row.ToTable("invitations");
            row.HasKey(e => e.CodeHash);
        });
        builder.Entity<PersonGuardRow>(row =>
        {
            row.ToTable("person_guards");
            row.HasKey(e => e.PersonId);
        });
        builder.Entity<RecoveryCodeRow>(row =>
        {
            row.ToTable("recovery_codes");
            row.HasKey(e => e.CodeHash);
            row.HasIndex(e => e.PersonId);
        });
        builder.Entity<EnrolmentCodeRow>(row =>
        {
            row.ToTable("enrolment_codes");
            row.HasKey(e => e.CodeHash);
        });
        builder.Entity<KitJournalKeyRow>(row =>
        {
            row.ToTable("kit_journal_keys");
            row.HasKey(e => e.JournalId);
        });
        builder.Entity<HubKeyRow>(row =>
        {
            row.ToTable("hub_keys");
            row.HasKey(e => e.Id);
            row.Property(e => e.Id).ValueGeneratedNever();
        });
        builder.Entity<ProtocolRow>(row =>
        {
            row.ToTable("protocols");
            row.HasKey(e => new { e.ProtocolId, e.Version });
            row.Ignore(e => e.KeptBy);
        });
        builder.Entity<ErasureRow>(row =>
        {
            row.ToTable("erasures");
            row.HasKey(e => e.ErasureId);
        });
        builder.Entity<DataKeyRow>(row =>
        {
            row.ToTable("data_keys");
            row.HasKey(e => e.Position);
            row.Property(e => e.Position).ValueGeneratedOnAdd();
            row.HasIndex(e => e.Scope).IsUnique();
        });
        builder.Entity<HubPerson>(row =>
        {
            row.Ignore(e => e.DisplayName).Ignore(e => e.AuthenticatorKey);
            row.Property(e => e.SealedName);
            row.Property(e => e.SealedAuthenticatorKey);
        });
        builder.Entity<ConsentTextRow>(row =>
        {
            row.ToTable("consent_texts");
            row.HasKey(e => new { e.Purpose, e.Language, e.Version });
            row.Ignore(e => e.KeptBy);
        });
        builder.Entity<SchemaVersionRow>(row =>
        {
            row.ToTable("schema_version");
            row.HasKey(e => e.Id);
            row.Property(e => e.Id).ValueGeneratedNever();
        });
        SharedTables.Shape(builder);
        if (Database.IsNpgsql())
        {
            PostgresStore.Shape(builder);
        }
    }
}
