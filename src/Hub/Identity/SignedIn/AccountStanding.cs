using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>What an account is now, to be held against what a cookie or a connection came with.</summary>
/// <param name="Stamp">Security stamp: changes when the way in changes or everything is to be signed out.</param>
/// <param name="Roles">Roles.</param>
internal sealed record AccountStanding(string? Stamp, IReadOnlySet<string> Roles)
{
    /// <summary>Whether nothing has changed since.</summary>
    public bool Fits(string? stamp, IReadOnlySet<string> roles) => stamp == Stamp && Roles.SetEquals(roles);

    /// <summary>Reads accounts; those that are gone or closed are missing.</summary>
    public static async Task<IReadOnlyDictionary<string, AccountStanding>> Read(IDbContextFactory<HubContext> contexts, IReadOnlyCollection<string> people, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var accounts = await context.Users.AsNoTracking()
            .Where(user => people.Contains(user.Id) && user.ClosedTicks == null)
            .Select(user => new { user.Id, user.SecurityStamp, Roles = context.UserRoles.Where(held => held.UserId == user.Id).Join(context.Roles, held => held.RoleId, role => role.Id, (_, role) => role.Name!).ToList() })
            .ToListAsync(cancellationToken);
        return accounts.ToDictionary(account => account.Id, account => new AccountStanding(account.SecurityStamp, account.Roles.ToHashSet(StringComparer.Ordinal)), StringComparer.Ordinal);
    }
}
