using Microsoft.AspNetCore.Identity;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.Organisation;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity;

/// <summary>Lets a person in once it is known who they are.</summary>
internal sealed partial class Entry(SignInManager<HubPerson> signIn, UserManager<HubPerson> people, AuditTrail trail, ILogger<Entry> log)
{
    /// <summary>How an entry by single-use link is named.</summary>
    public const string ByLink = "link";

    /// <summary>Signs in and goes to the console.</summary>
    public async Task<IResult> Enter(HubPerson person, string way) =>
        await SignIn(person, way) ? Results.LocalRedirect("/") : OrganisationPages.Instead();

    /// <summary>Signs in where that works. Nothing is lost where it does not: the person signs in with what was just set up.</summary>
    /// <returns>Whether they are signed in.</returns>
    public async Task<bool> MaySignIn(HubPerson person, string way)
    {
        try
        {
            return await SignIn(person, way);
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            Log.NotSignedIn(log, fault);
            return false;
        }
    }

    /// <summary>Signs in. What cannot be recorded is not done.</summary>
    /// <returns>False when the account is an organisation's: whoever leaves there must be out here, so it comes in from there alone.</returns>
    public async Task<bool> SignIn(HubPerson person, string way)
    {
        if ((await people.GetLoginsAsync(person)).Count > 0)
        {
            await trail.Act(AuditActs.SignInRefused, person.Id, RefusalCodes.OrganisationRefused);
            return false;
        }

        await trail.Act(AuditActs.SignedIn, person.Id, about: $"by {way}");
        await signIn.SignInAsync(person, isPersistent: false, way);
        return true;
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 1603, Level = LogLevel.Error, Message = "An account was set up, and signing in with it failed at the disk")]
        public static partial void NotSignedIn(ILogger logger, Exception fault);
    }
}
