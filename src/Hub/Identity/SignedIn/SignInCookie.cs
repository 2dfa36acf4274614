using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>What happens when a cookie is given, shown and taken back: it is good for as long as the hub knows its sign-in and the account is what it was.</summary>
internal sealed class SignInCookie(SignIns signIns, LivePeople live, IDbContextFactory<HubContext> contexts, TimeProvider time) : CookieAuthenticationEvents
{
    internal const string SignInClaim = "telehearing:sign-in";

    /// <summary>Parameter of a sign-in by which nobody proved that they sit there: it begins covered.</summary>
    internal const string Unproven = "telehearing:unproven";

    /// <summary>Parameter of a new cookie for the sign-in that asks: it goes on as it is.</summary>
    internal const string Stays = "telehearing:stays";

    /// <summary>The claim of the library's default.</summary>
    private static readonly string _stampClaim = new ClaimsIdentityOptions().SecurityStampClaimType;

    public static string? Stamp(ClaimsPrincipal user) => user.FindFirstValue(_stampClaim);

    public override async Task SigningIn(CookieSigningInContext context)
    {
        var earlier = context.HttpContext.User.FindFirstValue(SignInClaim);
        var person = context.Principal?.FindFirstValue(ClaimTypes.NameIdentifier) ?? throw new InvalidOperationException("Nobody is to be signed in.");
        var identity = (ClaimsIdentity)context.Principal.Identity!;
        if (earlier is not null && context.Properties.GetParameter<bool>(Stays))
        {
            identity.AddClaim(new Claim(SignInClaim, earlier));
            return;
        }

        if (earlier is not null)
        {
            // One browser, one sign-in: the cookie of the earlier one is overwritten.
            await signIns.End(earlier);
        }

        identity.AddClaim(new Claim(SignInClaim, await signIns.Begin(person, proven: !context.Properties.GetParameter<bool>(Unproven))));
    }

    public override async Task SigningOut(CookieSigningOutContext context)
    {
        if (context.HttpContext.User.FindFirstValue(SignInClaim) is { } id)
        {
            await signIns.End(id);
        }
    }

    public override async Task ValidatePrincipal(CookieValidatePrincipalContext context)
    {
        if (context.HttpContext.GetEndpoint()?.Metadata.GetMetadata<IAllowAnonymous>() is not null)
        {
            // Files, which tell nothing of anyone.
            return;
        }

        try
        {
            await Validate(context);
        }
        catch (Exception fault) when (StoreFaults.Is(fault) && context.HttpContext.GetEndpoint()?.Metadata.GetMetadata<ForSilence>() is not null && IsConnected(context.Principal))
        {
            // The store cannot say whether the account is what it was. Its console is still connected, which is looked at all the time, and silence does no harm.
        }
    }

    private bool IsConnected(ClaimsPrincipal? principal) => principal?.FindFirstValue(SignInClaim) is { } id
        && live.All.Any(console => console.SignInId == id && console.PersonId == principal.FindFirstValue(ClaimTypes.NameIdentifier) && console.Stamp == Stamp(principal));

    private async Task Validate(CookieValidatePrincipalContext context)
    {
        var token = context.HttpContext.RequestAborted;
        var person = context.Principal?.FindFirstValue(ClaimTypes.NameIdentifier);
        if (context.Principal is not { } principal || person is null
            || principal.FindFirstValue(SignInClaim) is not { } id
            || await signIns.Find(id, token) is not { } signIn
            || signIn.PersonId != person
            || !(await AccountStanding.Read(contexts, [person], token)).TryGetValue(person, out var account)
            || account.Stamp != Stamp(principal))
        {
            context.RejectPrincipal();
            return;
        }

        if (!account.Fits(account.Stamp, principal.FindAll(ClaimTypes.Role).Select(role => role.Value).ToHashSet(StringComparer.Ordinal)))
        {
            await Renew(context, person, id);
        }
    }

    public override Task CheckSlidingExpiration(CookieSlidingExpirationContext context)
    {
        if (context.ShouldRenew && context.Principal?.FindFirstValue(SignInClaim) is { } id)
        {
            live.Prolong(id, time.GetUtcNow() + context.Options.ExpireTimeSpan);
        }

        return Task.CompletedTask;
    }

    // There is no sign-in form to send anyone to: a program asks, and the console says in words what to do.
    public override Task RedirectToLogin(RedirectContext<CookieAuthenticationOptions> context) => Answer(context.Response, StatusCodes.Status401Unauthorized);

    public override Task RedirectToAccessDenied(RedirectContext<CookieAuthenticationOptions> context) => Answer(context.Response, StatusCodes.Status403Forbidden);

    /// <summary>Roles changed: from now on the cookie says the new ones.</summary>
    private async Task Renew(CookieValidatePrincipalContext context, string person, string signInId)
    {
        var services = context.HttpContext.RequestServices;
        if (await services.GetRequiredService<UserManager<HubPerson>>().FindByIdAsync(person) is not { } found)
        {
            context.RejectPrincipal();
            return;
        }

        var renewed = await services.GetRequiredService<IUserClaimsPrincipalFactory<HubPerson>>().CreateAsync(found);
        ((ClaimsIdentity)renewed.Identity!).AddClaim(new Claim(SignInClaim, signInId));
        context.ReplacePrincipal(renewed);
        context.ShouldRenew = true;
    }

    private static Task Answer(HttpResponse response, int status)
    {
        response.StatusCode = status;
        return Task.CompletedTask;
    }
}
