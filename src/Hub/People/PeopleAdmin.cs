using Microsoft.AspNetCore.Identity;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.People;

/// <summary>Entering people who work with the hub.</summary>
public sealed class PeopleAdmin
{
    private static readonly string[] _known = [Roles.Owner, Roles.Clinician, Roles.Coordinator, Roles.Assistant];

    private readonly IServiceScopeFactory _scopes;

    public PeopleAdmin(IServiceScopeFactory scopes) => _scopes = scopes;

    /// <summary>Enters a person.</summary>
    /// <param name="name">Name as shown to others.</param>
    /// <param name="roles">Roles, see <see cref="TeleHearing.Contracts.Roles"/>.</param>
    /// <param name="cancellationToken">Cancels.</param>
    /// <param name="id">Id of the account, where it stands in the audit already; otherwise a new one.</param>
    /// <returns>The account id.</returns>
    /// <exception cref="InvalidOperationException">The account could not be made; the message lists why.</exception>
    public async Task<string> Enter(string name, IReadOnlyList<string> roles, CancellationToken cancellationToken, string? id = null)
    {
        cancellationToken.ThrowIfCancellationRequested();
        await using var scope = _scopes.CreateAsyncScope();
        // The account name is never shown or typed; a random one keeps names of people out of it.
        var person = new HubPerson { Id = id ?? NewId(), UserName = Guid.CreateVersion7().ToString("N"), DisplayName = name };
        await Enter(scope.ServiceProvider.GetRequiredService<UserManager<HubPerson>>(), scope.ServiceProvider.GetRequiredService<RoleManager<IdentityRole>>(), person, roles);
        return person.Id;
    }

    /// <summary>An id for an account that is about to be made.</summary>
    internal static string NewId() => Guid.CreateVersion7().ToString();

    /// <summary>Roles as the audit tells them; what is none of the hub's is not repeated.</summary>
    internal static string InWords(IReadOnlyList<string> roles) =>
        roles.Count == 0 ? "no role" : "roles " + string.Join(", ", roles.Select(role => _known.Contains(role) ? role : "unknown").Distinct().Order(StringComparer.Ordinal));

    /// <summary>Enters a person as part of what the caller does.</summary>
    /// <exception cref="InvalidOperationException">The account could not be made; the message lists why.</exception>
    internal static async Task Enter(UserManager<HubPerson> people, RoleManager<IdentityRole> roles, HubPerson person, IReadOnlyList<string> names)
    {
        await Know(roles, names);
        Check(await people.CreateAsync(person));
        Check(await people.AddToRolesAsync(person, names));
    }

    /// <summary>Makes roles known to the store.</summary>
    internal static async Task Know(RoleManager<IdentityRole> roles, IReadOnlyList<string> names)
    {
        foreach (var role in names)
        {
            if (!await roles.RoleExistsAsync(role))
            {
                Check(await roles.CreateAsync(new IdentityRole(role)));
            }
        }
    }

    private static void Check(IdentityResult result)
    {
        if (!result.Succeeded)
        {
            throw new InvalidOperationException("The account could not be made: " + string.Join(" ", result.Errors.Select(error => error.Description)));
        }
    }
}
