using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Practice;

/// <summary>Who works with the hub, with their roles.</summary>
internal sealed record PracticePeople(IReadOnlyList<(PracticePerson Person, IReadOnlyList<string> Roles)> All)
{
    public static PracticePeople Nobody { get; } = new([]);

    /// <summary>Somebody with a role; absent when there is no such person or they have another role.</summary>
    public PracticePerson? Is(string personId, string role) => All.FirstOrDefault(one => one.Person.PersonId == personId && one.Roles.Contains(role)).Person;

    /// <summary>Everybody with one of the roles, by name.</summary>
    public IReadOnlyList<PracticePerson> With(params IReadOnlyList<string> roles) =>
        [.. All.Where(one => one.Roles.Any(roles.Contains)).Select(one => one.Person).OrderBy(person => person.Name, StringComparer.CurrentCulture)];

    /// <summary>Reads everybody whose account is open.</summary>
    public static async Task<PracticePeople> Read(IDbContextFactory<HubContext> contexts, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var roles = (await (from given in context.UserRoles join role in context.Roles on given.RoleId equals role.Id select new { given.UserId, role.Name }).ToListAsync(cancellationToken))
            .ToLookup(row => row.UserId, row => row.Name ?? string.Empty);
        var people = await context.Users.AsNoTracking().Where(person => person.ClosedTicks == null).ToListAsync(cancellationToken);
        return new PracticePeople([.. people.Select(person => (new PracticePerson(person.Id, person.DisplayName), (IReadOnlyList<string>)[.. roles[person.Id]]))]);
    }
}
