using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.People;

/// <summary>Entering people who work with the hub.</summary>
public sealed class PeopleAdmin
{
    private readonly IServiceScopeFactory _scopes;

    public PeopleAdmin(IServiceScopeFactory scopes) => _scopes = scopes;

    /// <summary>Enters a person.</summary>
    /// <param name="name">Name as shown to others.</param>
    /// <param name="roles">Roles, see <see cref="TeleHearing.Contracts.Roles"/>.</param>
    /// <param name="cancellationToken">Cancels.</param>
    /// <returns>The account id.</returns>
    /// <exception cref="InvalidOperationException">The account could not be made; the message lists why.</exception>
    public async Task<string> Enter(string name, IReadOnlyList<string> roles, CancellationToken cancellationToken)
    {
        cancellationToken.ThrowIfCancellationRequested();
        await using var scope = _scopes.CreateAsyncScope();
        var people = scope.ServiceProvider.GetRequiredService<UserManager<HubPerson>>();
        var roleManager = scope.ServiceProvider.GetRequiredService<RoleManager<IdentityRole>>();
        foreach (var role in roles)
        {
            if (!await roleManager.RoleExistsAsync(role))
            {
                Check(await roleManager.CreateAsync(new IdentityRole(role)));
            }
        }

        // The account name is never shown or typed; a random one keeps names of people out of it.
        var person = new HubPerson { UserName = Guid.CreateVersion7().ToString("N"), DisplayName = name };
        Check(await people.CreateAsync(person));
        Check(await people.AddToRolesAsync(person, roles));
        return person.Id;
    }

    private static void Check(IdentityResult result)
    {
        if (!result.Succeeded)
        {
            throw new InvalidOperationException("The account could not be made: " + string.Join(" ", result.Errors.Select(error => error.Description)));
        }
    }
}
