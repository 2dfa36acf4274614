using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Identity;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>Somebody comes back from their organisation's sign-in. Who they are there decides which account they have here, and their roles there which they have here, anew each time.</summary>
internal sealed partial class OrganisationArrival(
    HubSettings settings,
    HubContext context,
    UserManager<HubPerson> people,
    RoleManager<IdentityRole> roles,
    SignInManager<HubPerson> signIn,
    SignIns signIns,
    AuditTrail trail,
    ILogger<OrganisationArrival> log)
{
    /// <summary>Under this name the account there is kept with the account here.</summary>
    private const string Provider = "organisation";

    /// <summary>Longest name that is taken over, characters.</summary>
    private const int LongestName = 200;

    /// <summary>The issuer's answer was checked: signature, issuer, audience, lifetime, nonce, state.</summary>
    public async Task Receive(TicketReceivedContext context)
    {
        IResult answer;
        try
        {
            answer = await Take(context.Principal ?? new ClaimsPrincipal(), WayThere.Read(context.Properties));
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            Log.NotKept(log, fault);
            answer = OrganisationPages.NotKept();
        }

        await answer.ExecuteAsync(context.HttpContext);
        context.HandleResponse();
    }

    /// <summary>The issuer's answer was not in order, or the person left.</summary>
    public async Task Fail(RemoteFailureContext context)
    {
        // The kind alone: words of an issuer may hold what is about a person.
        Log.Refused(log, context.Failure?.GetType().Name ?? "no reason");
        await trail.Act(AuditActs.SignInRefused, null, RefusalCodes.OrganisationRefused);
        await OrganisationPages.Refused("Your organisation's answer was not in order, came too late, or was used before.").ExecuteAsync(context.HttpContext);
        context.HandleResponse();
    }

    private async Task<IResult> Take(ClaimsPrincipal theirs, WayThere there)
    {
        if (settings.Organisation is not { } organisation || Key(theirs, organisation) is not { } key)
        {
            return await Refused(null, "Your account belongs to another organisation than the one this hub is set up for.");
        }

        var mapped = organisation.Ours(theirs.FindAll(organisation.RolesClaim).Select(claim => claim.Value));
        var (person, changed) = await Keep(key, Name(theirs), mapped);
        if (changed)
        {
            // Other browsers still show the old roles: they sign in anew.
            await signIns.EndAll(person!.Id);
        }

        if (mapped.Count == 0)
        {
            return await Refused(person?.Id, "Your organisation gives you no role in this hub. Ask whoever looks after accounts there.");
        }

        if (person is not { ClosedTicks: null })
        {
            return await Refused(person?.Id, "Your account in this hub is closed. Ask the owner of the clinic.");
        }

        if (there.Earlier is { } earlier)
        {
            // One browser, one sign-in: its cookie is about to be overwritten, and was not sent on the way back.
            await signIns.End(earlier);
        }

        var properties = new AuthenticationProperties();
        properties.SetParameter(SignInCookie.Unproven, !there.ProvenSince(theirs));
        await signIn.SignInAsync(person, properties);
        return Results.LocalRedirect("/");
    }

    /// <summary>Keeps the account as the organisation describes it, and the entries of the audit with it: all of it or nothing.</summary>
    /// <returns>The account, absent when there is none and none is made; and whether its roles changed.</returns>
    private async Task<(HubPerson? Person, bool Changed)> Keep(string key, string name, IReadOnlyList<string> mapped)
    {
        await using var transaction = await context.Database.BeginTransactionAsync();
        await StoreTurn.Take(context, StoreTurn.People, CancellationToken.None);
        var person = await people.FindByLoginAsync(Provider, key);
        if (person is { ClosedTicks: not null } || (person is null && mapped.Count == 0))
        {
            return (person, false);
        }

        person ??= await Enter(name, key);
        if (mapped.Count > 0 && person.DisplayName != name)
        {
            person.DisplayName = name;
            Check(await people.UpdateAsync(person));
        }

        var changed = await SetRoles(person, mapped);
        if (mapped.Count > 0)
        {
            await trail.Within(context, AuditActs.SignedInByOrganisation, person.Id);
        }

        await transaction.CommitAsync();
        return (person, changed);
    }

    /// <summary>What the account there is known by, for good: tenant and object with Entra, issuer and subject otherwise (OpenID Connect Core 1.0, 5.7). Never by an address, which goes over to others.</summary>
    private static string? Key(ClaimsPrincipal theirs, OrganisationSettings organisation)
    {
        if (organisation.Kind == OrganisationSettings.Entra)
        {
            return theirs.FindFirstValue("oid") is { Length: > 0 } id && string.Equals(theirs.FindFirstValue("tid"), organisation.Tenant, StringComparison.OrdinalIgnoreCase) ? $"{organisation.Tenant}|{id}" : null;
        }

        return theirs.FindFirst("sub") is { Value.Length: > 0 } subject ? $"{subject.Issuer}|{subject.Value}" : null;
    }

    private static string Name(ClaimsPrincipal theirs)
    {
        var name = theirs.FindFirstValue("name") ?? theirs.FindFirstValue("preferred_username");
        return string.IsNullOrWhiteSpace(name) ? "Name not given" : name.Trim() is { Length: > LongestName } much ? much[..LongestName] : name.Trim();
    }

    private async Task<HubPerson> Enter(string name, string key)
    {
        var person = new HubPerson { UserName = Guid.CreateVersion7().ToString("N"), DisplayName = name };
        Check(await people.CreateAsync(person));
        Check(await people.AddLoginAsync(person, new UserLoginInfo(Provider, key, Provider)));
        return person;
    }

    private async Task<bool> SetRoles(HubPerson person, IReadOnlyList<string> wanted)
    {
        var held = await people.GetRolesAsync(person);
        if (held.ToHashSet(StringComparer.Ordinal).SetEquals(wanted))
        {
            return false;
        }

        Check(await people.RemoveFromRolesAsync(person, held.Except(wanted)));
        await PeopleAdmin.Know(roles, wanted);
        Check(await people.AddToRolesAsync(person, wanted.Except(held)));
        Check(await people.UpdateSecurityStampAsync(person));
        await trail.Within(context, AuditActs.RolesSet, null, $"person {person.Id}", PeopleAdmin.InWords(wanted));
        return true;
    }

    private async Task<IResult> Refused(string? personId, string sentence)
    {
        await trail.Act(AuditActs.SignInRefused, personId, RefusalCodes.OrganisationRefused);
        return OrganisationPages.Refused(sentence);
    }

    private static void Check(IdentityResult result)
    {
        if (!result.Succeeded)
        {
            throw new InvalidOperationException("An account of the organisation could not be kept: " + string.Join(", ", result.Errors.Select(error => error.Code)));
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 1602, Level = LogLevel.Warning, Message = "A sign-in through the organisation was refused: {Kind}")]
        public static partial void Refused(ILogger logger, string kind);

        [LoggerMessage(EventId = 1604, Level = LogLevel.Error, Message = "A sign-in through the organisation failed at the disk")]
        public static partial void NotKept(ILogger logger, Exception fault);
    }
}
