using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>Looks up who works with this hub, with the roles they have now.</summary>
internal sealed class Colleagues(IDbContextFactory<HubContext> contexts, FleetFacts practice)
{
    /// <summary>What a command lends to an assistant, or has one do under a loan, for which they have no sign-off in date.</summary>
    public async Task<IReadOnlyList<AssistantTask>> NotSignedOff(SessionCommand command, SessionState session, CancellationToken cancellationToken)
    {
        var (person, needed) = command switch
        {
            LendControl lend => (lend.ToPersonId, lend.Tasks.SelectMany(task => ControlTasks.Needed(task, session))),
            OrderStep order when session is { Control.Loan: not null, Holder: { } holder } => (holder.Id, ControlTasks.Needed(order.Request, session)),
            _ => (string.Empty, []),
        };
        List<AssistantTask> tasks = [.. needed.Distinct()];
        if (tasks.Count == 0)
        {
            return [];
        }

        var facts = await practice.Load(cancellationToken);
        var today = practice.Today(facts.State);
        return [.. tasks.Where(task => !SignOffs.Holds(facts.State.Practice, person, task, today).Holds)];
    }

    /// <returns>Null when there is nobody of that id whose account is open.</returns>
    public async Task<NamedPerson?> Find(string personId, CancellationToken cancellationToken) =>
        (await Read(personId, cancellationToken)).SingleOrDefault();

    /// <summary>Everyone with a role whose account is open, by name.</summary>
    public Task<IReadOnlyList<NamedPerson>> All(CancellationToken cancellationToken) => Read(null, cancellationToken);

    private async Task<IReadOnlyList<NamedPerson>> Read(string? personId, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var rows = await (
            from person in context.Users.AsNoTracking()
            where person.ClosedTicks == null && (personId == null || person.Id == personId)
            join held in context.UserRoles on person.Id equals held.UserId
            join role in context.Roles on held.RoleId equals role.Id
            select new { person.Id, person.DisplayName, role.Name }).ToListAsync(cancellationToken);
        return
        [
            .. rows.GroupBy(row => (row.Id, row.DisplayName))
                .Select(group => new NamedPerson(group.Key.Id, group.Key.DisplayName, [.. group.Select(row => row.Name!)]))
                .OrderBy(person => person.Name, StringComparer.CurrentCulture),
        ];
    }
}
