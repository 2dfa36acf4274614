using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Data;

/// <summary>A backup brings back rights that were taken away since it was made: the key of a stolen kit, the account of somebody who left. They are taken away again, by what the folder from before says; rights are only ever taken, never given.</summary>
internal static class RestoredRights
{
    /// <summary>Settles the rights of a restored hub before anybody can reach it.</summary>
    /// <param name="restored">Services of the restored hub.</param>
    /// <param name="before">Database of the folder there was.</param>
    /// <param name="time">Clock.</param>
    /// <param name="cancellationToken">Cancels.</param>
    public static async Task<CarriedRights> Settle(IServiceProvider restored, string before, TimeProvider time, CancellationToken cancellationToken)
    {
        var newer = await Newer.Read(before, cancellationToken);
        await using var context = await restored.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContextAsync(cancellationToken);
        await using var transaction = await context.Database.BeginTransactionAsync(cancellationToken);

        // Ended sign-ins, used invitations and codes of the days since look unused in the backup.
        await context.SignIns.ExecuteDeleteAsync(cancellationToken);
        await context.SignInCodes.ExecuteDeleteAsync(cancellationToken);
        await context.Invitations.ExecuteDeleteAsync(cancellationToken);
        await context.EnrolmentCodes.ExecuteDeleteAsync(cancellationToken);
        await context.DataTickets.ExecuteDeleteAsync(cancellationToken);

        // Links and consoles of the hub the backup was made beside.
        await context.KitLinks.ExecuteDeleteAsync(cancellationToken);
        await context.LiveConsoles.ExecuteDeleteAsync(cancellationToken);
        await context.ControlHeard.ExecuteDeleteAsync(cancellationToken);
        await context.RunningHubs.ExecuteDeleteAsync(cancellationToken);

        var (kits, kitsToLookAt) = await Kits(context, newer, time.GetUtcNow().UtcTicks, cancellationToken);
        var (people, peopleToLookAt) = await People(context, newer, cancellationToken);
        await context.SaveChangesAsync(cancellationToken);
        await transaction.CommitAsync(cancellationToken);
        return new CarriedRights(newer is not null, kits, people, kitsToLookAt, peopleToLookAt);
    }

    private static async Task<(IReadOnlyList<string> Revoked, IReadOnlyList<string> ToLookAt)> Kits(HubContext context, Newer? newer, long now, CancellationToken cancellationToken)
    {
        var (revoked, toLookAt) = (new List<string>(), new List<string>());
        foreach (var kit in await context.Kits.Where(kit => kit.PublicKeyPem != null).OrderBy(kit => kit.KitId).Select(kit => new { kit.KitId, kit.PublicKeyPem }).ToListAsync(cancellationToken))
        {
            if (newer is null || !newer.Kits.TryGetValue(kit.KitId, out var key))
            {
                toLookAt.Add(kit.KitId);
            }
            else if (key != kit.PublicKeyPem)
            {
                await KitKeyWriter.Revoke(context, new KitId(kit.KitId), now, cancellationToken);
                revoked.Add(kit.KitId);
            }
        }

        return (revoked, toLookAt);
    }

    private static async Task<(IReadOnlyList<string> Changed, IReadOnlyList<string> ToLookAt)> People(HubContext context, Newer? newer, CancellationToken cancellationToken)
    {
        var roles = (await context.Roles.AsNoTracking().ToListAsync(cancellationToken)).ToDictionary(role => role.Id, role => role.Name ?? role.Id);
        var held = (await context.UserRoles.ToListAsync(cancellationToken)).ToLookup(row => row.UserId);
        var passkeys = (await context.UserPasskeys.ToListAsync(cancellationToken)).ToLookup(row => row.UserId);
        var logins = (await context.UserLogins.ToListAsync(cancellationToken)).ToLookup(row => row.UserId);
        var codes = (await context.RecoveryCodes.Where(row => row.UsedTicks == null).ToListAsync(cancellationToken)).ToLookup(row => row.PersonId);
        var (changed, toLookAt) = (new List<string>(), new List<string>());
        foreach (var person in await context.Users.AsNoTracking().OrderBy(person => person.Id).ToListAsync(cancellationToken))
        {
            if (newer is null || !newer.People.TryGetValue(person.Id, out var now))
            {
                if (person.ClosedTicks is null)
                {
                    toLookAt.Add($"{person.DisplayName} ({string.Join(", ", held[person.Id].Select(row => roles[row.RoleId]).Order(StringComparer.Ordinal))})");
                }

                continue;
            }

            object[] gone =
            [
                .. held[person.Id].Where(row => !newer.Has.Contains((person.Id, "role", roles[row.RoleId]))),
                .. passkeys[person.Id].Where(row => !newer.Has.Contains((person.Id, "passkey", Convert.ToHexString(row.CredentialId)))),
                .. logins[person.Id].Where(row => !newer.Has.Contains((person.Id, "login", row.LoginProvider + " " + row.ProviderKey))),
                .. codes[person.Id].Where(row => !newer.Has.Contains((person.Id, "code", Convert.ToHexString(row.CodeHash)))),
            ];
            context.RemoveRange(gone);
            if (await Take(context, person, now, cancellationToken) || gone.Length > 0)
            {
                changed.Add(person.Id);
            }
        }

        return (changed, toLookAt);
    }

    /// <summary>A password and its authenticator that were changed since: the newer ones count, for the older ones may be why. Written past the row object, which seals what it holds open.</summary>
    private static async Task<bool> Take(HubContext context, HubPerson person, Account now, CancellationToken cancellationToken)
    {
        var closed = person.ClosedTicks ?? now.ClosedTicks;
        if (closed == person.ClosedTicks && person.PasswordHash == now.PasswordHash && person.SealedAuthenticatorKey == now.SealedAuthenticatorKey)
        {
            return false;
        }

        var stamp = Guid.NewGuid().ToString("N");
        await context.Users.Where(row => row.Id == person.Id).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.ClosedTicks, closed)
                .SetProperty(row => row.PasswordHash, now.PasswordHash)
                .SetProperty(row => row.SealedAuthenticatorKey, now.SealedAuthenticatorKey)
                .SetProperty(row => row.SecurityStamp, stamp),
            cancellationToken);
        return true;
    }

    private sealed record Account(long? ClosedTicks, string? PasswordHash, string? SealedAuthenticatorKey);

    /// <summary>Rights as the folder from before has them.</summary>
    private sealed record Newer(IReadOnlyDictionary<string, string?> Kits, IReadOnlyDictionary<string, Account> People, IReadOnlySet<(string Person, string What, string Which)> Has)
    {
        /// <returns>Null when there is no hub, or none that can be read.</returns>
        public static async Task<Newer?> Read(string database, CancellationToken cancellationToken)
        {
            if (!File.Exists(database))
            {
                return null;
            }

            try
            {
                await using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = database, Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ToString());
                await connection.OpenAsync(cancellationToken);
                var kits = await Rows(connection, "SELECT KitId, CASE WHEN RevokedTicks IS NULL THEN PublicKeyPem END FROM kits", cancellationToken);
                var people = await Rows(connection, "SELECT Id, ClosedTicks, PasswordHash, SealedAuthenticatorKey FROM AspNetUsers", cancellationToken);
                var has = await Rows(
                    connection,
                    """
                    SELECT held.UserId, 'role', role.Name FROM AspNetUserRoles held JOIN AspNetRoles role ON role.Id = held.RoleId
                    UNION ALL SELECT UserId, 'passkey', hex(CredentialId) FROM AspNetUserPasskeys
                    UNION ALL SELECT UserId, 'login', LoginProvider || ' ' || ProviderKey FROM AspNetUserLogins
                    UNION ALL SELECT PersonId, 'code', hex(CodeHash) FROM recovery_codes WHERE UsedTicks IS NULL
                    """,
                    cancellationToken);
                return new Newer(
                    kits.ToDictionary(row => (string)row[0]!, row => row[1] as string, StringComparer.Ordinal),
                    people.ToDictionary(row => (string)row[0]!, row => new Account(row[1] as long?, row[2] as string, row[3] as string), StringComparer.Ordinal),
                    has.Select(row => ((string)row[0]!, (string)row[1]!, (string)row[2]!)).ToHashSet());
            }
            catch (SqliteException)
            {
                // Broken, which may be why a backup is restored, or of a version without these tables.
                return null;
            }
        }

        private static async Task<List<object?[]>> Rows(SqliteConnection connection, string sql, CancellationToken cancellationToken)
        {
            await using var command = connection.CreateCommand();
            command.CommandText = sql;
            await using var reader = await command.ExecuteReaderAsync(cancellationToken);
            var rows = new List<object?[]>();
            while (await reader.ReadAsync(cancellationToken))
            {
                rows.Add([.. Enumerable.Range(0, reader.FieldCount).Select(index => reader.IsDBNull(index) ? null : reader.GetValue(index))]);
            }

            return rows;
        }
    }
}
