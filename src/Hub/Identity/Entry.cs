using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Audit;

namespace TeleHearing.Hub.Identity;

/// <summary>Lets a person in once it is known who they are.</summary>
internal sealed class Entry(SignInManager<HubPerson> signIn, AuditTrail trail)
{
    /// <summary>How an entry by single-use link is named.</summary>
    public const string ByLink = "link";

    /// <summary>Signs in and goes to the console.</summary>
    public async Task<IResult> Enter(HubPerson person, string way)
    {
        await SignIn(person, way);
        return Results.LocalRedirect("/");
    }

    /// <summary>Signs in. What cannot be recorded is not done.</summary>
    public async Task SignIn(HubPerson person, string way)
    {
        await trail.Act(AuditActs.SignedIn, person.Id);
        await signIn.SignInAsync(person, isPersistent: false, way);
    }
}
