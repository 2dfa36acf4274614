using MediatR;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.People;

/// <summary>See who works with the hub.</summary>
internal sealed record ReadPeople(Caller Caller) : IHubRequest<PeopleReply>
{
    public PeopleReply Refused(Refusal refusal) => new([], refusal);

    public string Trace() => "read people";
}

internal sealed class ReadPeopleHandler(IDbContextFactory<HubContext> contexts, TimeProvider time) : IRequestHandler<ReadPeople, PeopleReply>
{
    public async Task<PeopleReply> Handle(ReadPeople request, CancellationToken cancellationToken)
    {
        var now = time.GetUtcNow().UtcTicks;
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var people = await context.Users.AsNoTracking().ToListAsync(cancellationToken);
        var roles = (await context.UserRoles.Join(context.Roles, held => held.RoleId, role => role.Id, (held, role) => new { held.UserId, role.Name }).ToListAsync(cancellationToken)).ToLookup(held => held.UserId, held => held.Name!);
        var passkeys = await context.UserPasskeys.GroupBy(passkey => passkey.UserId).Select(group => new { group.Key, Count = group.Count() }).ToDictionaryAsync(group => group.Key, group => group.Count, cancellationToken);
        var links = (await context.Invitations.AsNoTracking().Where(row => row.UsedTicks == null && row.PersonId != null).ToListAsync(cancellationToken)).ToLookup(row => row.PersonId!, row => row.ExpiresTicks);
        var locks = (await context.PersonGuards.Where(row => row.LockedUntilTicks > now).Select(row => new { row.PersonId, row.LockedUntilTicks }).ToListAsync(cancellationToken))
            .GroupBy(row => WrongTries.PersonOf(row.PersonId), row => row.LockedUntilTicks, StringComparer.Ordinal)
            .ToDictionary(row => row.Key, row => row.Max(), StringComparer.Ordinal);
        var organisation = await context.UserLogins.Select(login => login.UserId).Distinct().ToHashSetAsync(cancellationToken);
        return new PeopleReply([.. people.OrderBy(person => person.DisplayName, StringComparer.CurrentCulture).Select(Line)], null);

        PersonLine Line(HubPerson person)
        {
            var keys = passkeys.GetValueOrDefault(person.Id);
            var (state, until) = Standing(person, keys > 0 || person.PasswordHash is not null || organisation.Contains(person.Id), links[person.Id].DefaultIfEmpty(0).Max(), locks.GetValueOrDefault(person.Id), now);
            return new PersonLine(person.Id, person.DisplayName, [.. roles[person.Id].Order(StringComparer.Ordinal)], state, until is { } ticks ? new DateTimeOffset(ticks, TimeSpan.Zero) : null, keys, person.PasswordHash is not null) { ThroughOrganisation = organisation.Contains(person.Id) };
        }
    }

    private static (PersonState State, long? Until) Standing(HubPerson person, bool hasWayIn, long linkUntil, long lockedUntil, long now) =>
        person.ClosedTicks is not null ? (PersonState.Closed, null)
        : lockedUntil > now ? (PersonState.Locked, lockedUntil)
        : hasWayIn ? (PersonState.Open, null)
        : linkUntil > now ? (PersonState.Invited, linkUntil)
        : (PersonState.LinkOver, null);
}
