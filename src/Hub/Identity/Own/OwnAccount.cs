using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SignedIn;

namespace TeleHearing.Hub.Identity.Own;

/// <summary>The account of whoever asks.</summary>
internal sealed class OwnAccount(UserManager<HubPerson> people, SignInManager<HubPerson> signIn, RecoveryCodes recovery, SignIns signIns, AuditTrail trail, IDataProtectionProvider protection)
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

    /// <summary>Ends every sign-in but the one that asks.</summary>
    public async Task EndOtherSignIns(HubPerson person)
    {
        Credentials.Require(await people.UpdateSecurityStampAsync(person));
        await signIns.EndAll(person.Id);
        await signIn.RefreshSignInAsync(person);
    }

    private static string SignInId(HttpContext http) => PersonCaller.From(http.User).SignInId ?? string.Empty;
}
