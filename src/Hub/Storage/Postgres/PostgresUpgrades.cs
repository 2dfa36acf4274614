using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage.Postgres;

/// <summary>Brings the tables of a shared database up. Its first version is the one in which hubs could share one; each later step of <see cref="SchemaUpgrades"/> has its twin here.</summary>
internal static class PostgresUpgrades
{
    /// <summary>The oldest version a shared database can have.</summary>
    public const int First = 13;

    /// <summary>SQL that leads from the version of its place, counted from <see cref="First"/>, to the next one.</summary>
    private static readonly string[][] _steps =
    [
        // Whoever lent a task is heard as well as whoever holds it, each by their sign-in.
        [
            "DROP TABLE control_heard;",
            """
            CREATE TABLE control_heard (
                "SessionId" uuid NOT NULL,
                "PersonId" text COLLATE "C" NOT NULL,
                "SignInId" text COLLATE "C" NULL,
                "HeardTicks" bigint NOT NULL,
                CONSTRAINT "PK_control_heard" PRIMARY KEY ("SessionId", "PersonId")
            );
            """,
        ],
    ];

    /// <summary>Version to which the last step leads.</summary>
    public static int Newest => First + _steps.Length;

    /// <summary>Brings the tables up, inside the caller's transaction.</summary>
    /// <exception cref="InvalidOperationException">They are of a version that cannot be brought up.</exception>
    public static void Run(HubContext context, int? found)
    {
        if (found is not { } version || version < First || version > Newest)
        {
            throw new InvalidOperationException(SchemaUpgrades.OtherVersion(found));
        }

        foreach (var sql in _steps.Skip(version - First).SelectMany(step => step))
        {
            context.Database.ExecuteSqlRaw(sql);
        }

        context.SchemaVersions.Where(row => row.Id == 1).ExecuteUpdate(set => set.SetProperty(row => row.Version, Newest));
    }
}
