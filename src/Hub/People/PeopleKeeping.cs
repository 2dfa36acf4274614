using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SetUp;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.People;

/// <summary>What owners do about people. There is always an owner left who can get in.</summary>
internal sealed class PeopleKeeping(HubContext context, UserManager<HubPerson> people, RoleManager<IdentityRole> roles, Credentials credentials, Invitations invitations, SignIns signIns, TimeProvider time)
{
    private static readonly PeopleAnswer _done = new(null, null, null);
    private static readonly PeopleAnswer _unknown = new(null, null, new Refusal(RefusalCodes.PersonUnknown, "There is no such account. Nothing has changed.", "Load the page again."));
    private static readonly PeopleAnswer _lastOwner = new(null, null, new Refusal(RefusalCodes.LastOwner, "Nobody else could get in as owner then. Nothing has changed.", "Make somebody else owner first, and let them set up their account."));

    /// <summary>Enters somebody, with a link. Two accounts of one name could not be told apart where one is chosen, so the second is refused, as the command line does.</summary>
    public async Task<PeopleAnswer> Invite(string id, string name, IReadOnlyList<string> names, CancellationToken cancellationToken)
    {
        var person = new HubPerson { Id = id, UserName = AccountSetUp.Unnamed(), DisplayName = name };
        await using (var transaction = await context.Database.BeginTransactionAsync(cancellationToken))
        {
            // Before the look, so that a button pressed twice enters one account. Names are stored sealed: they are compared here, not in the database.
            await StoreTurn.Take(context, StoreTurn.People, cancellationToken);
            if ((await context.Users.AsNoTracking().ToListAsync(cancellationToken)).Exists(other => other.DisplayName == name))
            {
                return new PeopleAnswer(null, null, new Refusal(RefusalCodes.NameTaken, $"{name} is in this hub already. Nothing has changed.", "Look at the list: for a new link choose Change there. For somebody else, write the name so that the two can be told apart."));
            }

            await PeopleAdmin.Enter(people, roles, person, names);
            await transaction.CommitAsync(cancellationToken);
        }

        return await Link(person.Id, cancellationToken);
    }

    /// <summary>Gives somebody these roles and no others; their sign-ins end.</summary>
    /// <param name="personId">Whose.</param>
    /// <param name="names">The roles.</param>
    /// <param name="callerId">Who asks: an owner who is in.</param>
    /// <param name="cancellationToken">Cancels.</param>
    public Task<PeopleAnswer> ChangeRoles(string personId, IReadOnlyList<string> names, string callerId, CancellationToken cancellationToken) => Change(
        personId,
        async person =>
        {
            await PeopleAdmin.Know(roles, names);
            var held = await people.GetRolesAsync(person);
            Credentials.Require(await people.RemoveFromRolesAsync(person, held.Except(names)));
            Credentials.Require(await people.AddToRolesAsync(person, names.Except(held)));
            Credentials.Require(await people.UpdateSecurityStampAsync(person));
        },
        callerId,
        cancellationToken);

    /// <summary>Closes an account; its sign-ins end and its link no longer works.</summary>
    public Task<PeopleAnswer> Close(string personId, string callerId, CancellationToken cancellationToken) => Change(
        personId,
        async person =>
        {
            person.ClosedTicks ??= time.GetUtcNow().UtcTicks;
            Credentials.Require(await people.UpdateSecurityStampAsync(person));
            await Invitations.Void(context, person.Id, cancellationToken);
        },
        callerId,
        cancellationToken);

    /// <summary>Ends all sign-ins of somebody.</summary>
    public async Task<PeopleAnswer> EndSignIns(string personId, string callerId)
    {
        if (await people.FindByIdAsync(personId) is not { } person)
        {
            return _unknown;
        }

        Credentials.Require(await people.UpdateSecurityStampAsync(person));
        await End(personId, callerId);
        return _done;
    }

    /// <summary>Takes away what somebody signed in with, opens a closed account again, and makes a link.</summary>
    public async Task<PeopleAnswer> Renew(string personId, string callerId, CancellationToken cancellationToken)
    {
        var answer = await Change(
            personId,
            async person =>
            {
                person.ClosedTicks = null;
                await credentials.Forget(person, cancellationToken);
            },
            callerId,
            cancellationToken);
        return answer.Refusal is null ? await Link(personId, cancellationToken) : answer;
    }

    /// <summary>Changes an account, all of it or nothing, unless no owner were left. The store takes one writer at a time, so two owners cannot shut each other out at the same moment.</summary>
    private async Task<PeopleAnswer> Change(string personId, Func<HubPerson, Task> change, string callerId, CancellationToken cancellationToken)
    {
        await using var transaction = await context.Database.BeginTransactionAsync(cancellationToken);
        await StoreTurn.Take(context, StoreTurn.People, cancellationToken);
        if (await people.FindByIdAsync(personId) is not { } person)
        {
            return _unknown;
        }

        await change(person);
        if (!await AnOwnerIsLeft(callerId, cancellationToken))
        {
            await transaction.RollbackAsync(cancellationToken);
            return _lastOwner;
        }

        await transaction.CommitAsync(cancellationToken);
        await End(personId, callerId);
        return _done;
    }

    /// <summary>Ends somebody's sign-ins at once. One's own count no more from here on either, and are closed a moment later, so that the answer still arrives.</summary>
    private Task End(string personId, string callerId) => personId == callerId ? Task.CompletedTask : signIns.EndAll(personId);

    /// <summary>Whether an open account with the owner's role has a way in, or is the one that asks.</summary>
    private Task<bool> AnOwnerIsLeft(string callerId, CancellationToken cancellationToken) => context.Users.AnyAsync(
        person => person.ClosedTicks == null
            && (person.Id == callerId || person.PasswordHash != null || context.UserLogins.Any(login => login.UserId == person.Id) || context.UserPasskeys.Any(passkey => passkey.UserId == person.Id))
            && context.UserRoles.Any(held => held.UserId == person.Id && context.Roles.Any(role => role.Id == held.RoleId && role.Name == Roles.Owner)),
        cancellationToken);

    private async Task<PeopleAnswer> Link(string personId, CancellationToken cancellationToken)
    {
        var (path, until) = await invitations.Issue(personId, cancellationToken);
        return new PeopleAnswer(path, until, null);
    }
}
