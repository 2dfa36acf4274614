using System.Globalization;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Upgrading;

namespace TeleHearing.Hub.Storage;

/// <summary>Brings the tables of an older version up to this one, all of it or nothing. A step is written once and never changed (docs/decisions/0007 and 0018).</summary>
internal static class SchemaUpgrades
{
    private const int Oldest = 1;

    /// <summary>SQL that leads from the version of its place, counted from <see cref="Oldest"/>, to the next one. A fresh database and an upgraded one have the same tables.</summary>
    private static readonly string[][] _steps =
    [
        // 1 to 2: facts of kits.
        [
            """
            CREATE TABLE "kit_facts" (
                "Position" INTEGER NOT NULL CONSTRAINT "PK_kit_facts" PRIMARY KEY AUTOINCREMENT,
                "KitId" TEXT NOT NULL,
                "Sequence" INTEGER NOT NULL,
                "Kind" TEXT NOT NULL,
                "Shape" INTEGER NOT NULL,
                "Payload" TEXT NOT NULL,
                "TimeTicks" INTEGER NOT NULL,
                "PreviousHash" BLOB NOT NULL,
                "Hash" BLOB NOT NULL
            );
            """,
            """CREATE UNIQUE INDEX "IX_kit_facts_KitId_Sequence" ON "kit_facts" ("KitId", "Sequence");""",
            """ALTER TABLE "kits" ADD COLUMN "FactVersion" INTEGER NOT NULL DEFAULT 0;""",
        ],

        // 2 to 3: the clinic's protocols.
        [
            """
            CREATE TABLE "protocols" (
                "ProtocolId" TEXT NOT NULL,
                "Version" INTEGER NOT NULL,
                "Text" TEXT NOT NULL,
                "KeptTicks" INTEGER NOT NULL,
                "KeptBy" TEXT NOT NULL,
                CONSTRAINT "PK_protocols" PRIMARY KEY ("ProtocolId", "Version")
            );
            """,
        ],

        // 3 to 4: facts of the fleet.
        [
            """
            CREATE TABLE "fleet_facts" (
                "Sequence" INTEGER NOT NULL CONSTRAINT "PK_fleet_facts" PRIMARY KEY,
                "Kind" TEXT NOT NULL,
                "Shape" INTEGER NOT NULL,
                "Payload" TEXT NOT NULL,
                "TimeTicks" INTEGER NOT NULL,
                "PreviousHash" BLOB NOT NULL,
                "Hash" BLOB NOT NULL
            );
            """,
            """
            CREATE TABLE "fleet_head" (
                "Id" INTEGER NOT NULL CONSTRAINT "PK_fleet_head" PRIMARY KEY,
                "FactVersion" INTEGER NOT NULL
            );
            """,
        ],

        // 4 to 5: the audit.
        [
            """
            CREATE TABLE "audit_entries" (
                "Sequence" INTEGER NOT NULL CONSTRAINT "PK_audit_entries" PRIMARY KEY,
                "Kind" TEXT NOT NULL,
                "Shape" INTEGER NOT NULL,
                "Payload" TEXT NOT NULL,
                "TimeTicks" INTEGER NOT NULL,
                "PreviousHash" BLOB NOT NULL,
                "Hash" BLOB NOT NULL
            );
            """,
            """
            CREATE TABLE "audit_head" (
                "Id" INTEGER NOT NULL CONSTRAINT "PK_audit_head" PRIMARY KEY,
                "Entries" INTEGER NOT NULL
            );
            """,
        ],

        // Sign-ins that have not ended.
        [
            """
            CREATE TABLE "sign_ins" (
                "SignInId" TEXT NOT NULL CONSTRAINT "PK_sign_ins" PRIMARY KEY,
                "PersonId" TEXT NOT NULL,
                "BeganTicks" INTEGER NOT NULL,
                "ConfirmedTicks" INTEGER NULL,
                "Locked" INTEGER NOT NULL
            );
            """,
            """CREATE INDEX "IX_sign_ins_PersonId" ON "sign_ins" ("PersonId");""",
        ],

        // The key the hub signs orders and tokens with.
        [
            """
            CREATE TABLE "hub_keys" (
                "Id" INTEGER NOT NULL CONSTRAINT "PK_hub_keys" PRIMARY KEY,
                "ProtectedKey" TEXT NOT NULL,
                "MadeTicks" INTEGER NOT NULL
            );
            """,
        ],

        // Texts about people are sealed.
        SealOldStore.Tables,

        // Accounts of one's own: passkeys, authenticator and recovery codes, invitations.
        [
            """
            CREATE TABLE "AspNetUserPasskeys" (
                "CredentialId" BLOB NOT NULL CONSTRAINT "PK_AspNetUserPasskeys" PRIMARY KEY,
                "UserId" TEXT NOT NULL,
                "Data" TEXT NOT NULL,
                CONSTRAINT "FK_AspNetUserPasskeys_AspNetUsers_UserId" FOREIGN KEY ("UserId") REFERENCES "AspNetUsers" ("Id") ON DELETE CASCADE
            );
            """,
            """CREATE INDEX "IX_AspNetUserPasskeys_UserId" ON "AspNetUserPasskeys" ("UserId");""",
            """ALTER TABLE "AspNetUsers" ADD COLUMN "SealedAuthenticatorKey" TEXT NULL;""",
            """ALTER TABLE "AspNetUsers" ADD COLUMN "ClosedTicks" INTEGER NULL;""",
            """
            CREATE TABLE "invitations" (
                "CodeHash" BLOB NOT NULL CONSTRAINT "PK_invitations" PRIMARY KEY,
                "PersonId" TEXT NULL,
                "ExpiresTicks" INTEGER NOT NULL,
                "UsedTicks" INTEGER NULL
            );
            """,
            """
            CREATE TABLE "person_guards" (
                "PersonId" TEXT NOT NULL CONSTRAINT "PK_person_guards" PRIMARY KEY,
                "WrongTries" INTEGER NOT NULL,
                "LockedUntilTicks" INTEGER NOT NULL,
                "LastTryTicks" INTEGER NOT NULL,
                "LastCodeStep" INTEGER NOT NULL
            );
            """,
            """
            CREATE TABLE "recovery_codes" (
                "CodeHash" BLOB NOT NULL CONSTRAINT "PK_recovery_codes" PRIMARY KEY,
                "PersonId" TEXT NOT NULL,
                "UsedTicks" INTEGER NULL
            );
            """,
            """CREATE INDEX "IX_recovery_codes_PersonId" ON "recovery_codes" ("PersonId");""",
        ],

        // Handoffs that wait.
        ["""ALTER TABLE "sessions" ADD COLUMN "HandoffOpen" INTEGER NOT NULL DEFAULT 0;"""],

        // The texts consent is asked by.
        [
            """
            CREATE TABLE "consent_texts" (
                "Purpose" TEXT NOT NULL,
                "Language" TEXT NOT NULL,
                "Version" INTEGER NOT NULL,
                "Title" TEXT NOT NULL,
                "Body" TEXT NOT NULL,
                "Agree" TEXT NOT NULL,
                "Decline" TEXT NOT NULL,
                "TakeBack" TEXT NOT NULL,
                "KeptTicks" INTEGER NOT NULL,
                "SealedKeptBy" TEXT NULL,
                CONSTRAINT "PK_consent_texts" PRIMARY KEY ("Purpose", "Language", "Version")
            );
            """,
        ],

        // The loan a kit's key went out with.
        [
            """ALTER TABLE "kits" ADD COLUMN "KeySinceTicks" INTEGER NULL;""",
            """ALTER TABLE "kits" ADD COLUMN "KeyLoanId" TEXT NULL;""",
            """ALTER TABLE "kits" ADD COLUMN "KeyRetiredTicks" INTEGER NULL;""",
        ],

        // What hubs that share a database tell one another. From here on each step has a twin in Postgres/PostgresUpgrades.cs.
        [
            """
            CREATE TABLE "running_hubs" (
                "HubId" TEXT NOT NULL CONSTRAINT "PK_running_hubs" PRIMARY KEY,
                "Name" TEXT NOT NULL,
                "Version" TEXT NOT NULL,
                "StartedTicks" INTEGER NOT NULL,
                "SeenTicks" INTEGER NOT NULL,
                "Figures" TEXT NOT NULL
            );
            """,
            """
            CREATE TABLE "kit_links" (
                "KitId" TEXT NOT NULL CONSTRAINT "PK_kit_links" PRIMARY KEY,
                "HubId" TEXT NOT NULL,
                "ConnectionId" TEXT NOT NULL
            );
            """,
            """
            CREATE TABLE "control_heard" (
                "SessionId" TEXT NOT NULL CONSTRAINT "PK_control_heard" PRIMARY KEY,
                "PersonId" TEXT NOT NULL,
                "HeardTicks" INTEGER NOT NULL
            );
            """,
            """
            CREATE TABLE "live_consoles" (
                "ConnectionId" TEXT NOT NULL CONSTRAINT "PK_live_consoles" PRIMARY KEY,
                "HubId" TEXT NOT NULL,
                "PersonId" TEXT NOT NULL
            );
            """,
            """
            CREATE TABLE "seen_once" (
                "NumberHash" BLOB NOT NULL CONSTRAINT "PK_seen_once" PRIMARY KEY,
                "UntilTicks" INTEGER NOT NULL
            );
            """,
            """
            CREATE TABLE "data_tickets" (
                "TicketId" TEXT NOT NULL CONSTRAINT "PK_data_tickets" PRIMARY KEY,
                "PersonId" TEXT NOT NULL,
                "SealedAsk" TEXT NOT NULL,
                "MadeTicks" INTEGER NOT NULL
            );
            """,
            """ALTER TABLE "sign_ins" ADD COLUMN "ActiveTicks" INTEGER NULL;""",
        ],

        // Whoever lent a task is heard as well as whoever holds it, each by their sign-in.
        [
            """DROP TABLE "control_heard";""",
            """
            CREATE TABLE "control_heard" (
                "SessionId" TEXT NOT NULL,
                "PersonId" TEXT NOT NULL,
                "SignInId" TEXT NULL,
                "HeardTicks" INTEGER NOT NULL,
                CONSTRAINT "PK_control_heard" PRIMARY KEY ("SessionId", "PersonId")
            );
            """,
        ],
    ];

    /// <summary>First version in which texts about people are sealed.</summary>
    public static int SealedFrom { get; } = Oldest + Array.IndexOf(_steps, SealOldStore.Tables) + 1;

    /// <summary>Why a database of another version is not opened.</summary>
    public static string OtherVersion(int? found) =>
        $"The database in the data folder has tables of version {found?.ToString(CultureInfo.InvariantCulture) ?? "unknown"}, this hub needs version {Newest}. "
        + (found > Newest
            ? "A newer hub wrote it, and this one would not understand all of it. Nothing was changed. Start the newer hub version, or restore a backup made before it was upgraded into another folder."
            : "Nothing was changed. Start the hub version that wrote it, or name another data folder.");

    /// <summary>Version to which the last step leads.</summary>
    public static int Newest => Oldest + _steps.Length;

    /// <summary>Whether tables of a version can be brought up.</summary>
    public static bool Reaches(int version) => version >= Oldest && version < Newest;

    /// <summary>Brings them up.</summary>
    /// <returns>The version they have now.</returns>
    public static int Run(HubContext context, int version, Seals seals, TimeProvider time)
    {
        using var transaction = context.Database.BeginTransaction();
        foreach (var sql in _steps.Skip(version - Oldest).SelectMany(step => step))
        {
            context.Database.ExecuteSqlRaw(sql);
        }

        if (version < SealedFrom)
        {
            SealOldStore.Run(context, seals, time);
        }

        context.SchemaVersions.Where(row => row.Id == 1).ExecuteUpdate(set => set.SetProperty(row => row.Version, Newest));
        transaction.Commit();
        return Newest;
    }
}
