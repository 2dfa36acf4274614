using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SignedIn;

namespace TeleHearing.Hub.Identity.Own;

/// <summary>The account of whoever asks.</summary>
internal sealed class OwnAccount(UserManager<HubPerson> people, SignInManager<HubPerson> signIn, RecoveryCodes recovery, SignIns signIns, LivePeople live, AuditTrail trail, IDataProtectionProvider protection)
{
    /// <summary>The signed-in person.</summary>
    public async Task<HubPerson> Person(HttpContext http) =>
        await people.FindByIdAsync(PersonCaller.From(http.User).Id) ?? throw new InvalidOperationException("A signed-in person has no account: the cookie was not looked at.");

    /// <summary>The page, as the account stands now.</summary>
    public async Task<IResult> Page(HttpContext http, string? fault = null, string? done = null, AuthenticatorOffer? offer = null, string? signInName = null)
    {
        var person = await Person(http);
        if (signIns.Known(SignInId(http)) is not { } here || !signIns.IsConfirmed(here))
        {
            return AccountPage.Unconfirmed(http, person, (await people.GetPasskeysAsync(person)).Count > 0, fault);
        }

        return AccountPage.Write(http, person, await people.GetPasskeysAsync(person), await recovery.Left(person.Id, http.RequestAborted), offer ?? AuthenticatorOffer.New(protection, person.Id), signInName, fault, done);
    }

    /// <summary>The person has just proven that it is them.</summary>
    public async Task Confirm(HttpContext http)
    {
        await trail.Act(AuditActs.Confirmed, PersonCaller.From(http.User).Id);
        await signIns.Confirm(SignInId(http));
    }

    /// <summary>Changes how somebody gets in, and ends every sign-in but the one that asks. That one goes on: its consoles stay open, a session they command stays in hand, and it is neither younger nor proved anew by it.</summary>
    /// <param name="http">Request of the person.</param>
    /// <param name="person">Their account.</param>
    /// <param name="change">What to change; answers with what was wrong, and then nothing ends.</param>
    /// <returns>What was wrong; null when it is done.</returns>
    public async Task<string?> ChangeWayIn(HttpContext http, HubPerson person, Func<Task<string?>> change)
    {
        var here = SignInId(http);
        string? stamp = null;
        live.Change(here);
        try
        {
            if (await change() is { } fault)
            {
                return fault;
            }

            Credentials.Require(await people.UpdateSecurityStampAsync(person));
            stamp = person.SecurityStamp;
        }
        finally
        {
            live.Stay(here, stamp);
        }

        await signIns.EndOthers(person.Id, here);
        var properties = new AuthenticationProperties();
        properties.SetParameter(SignInCookie.Stays, true);
        await signIn.SignInAsync(person, properties);
        return null;
    }

    private static string SignInId(HttpContext http) => PersonCaller.From(http.User).SignInId ?? string.Empty;
}
