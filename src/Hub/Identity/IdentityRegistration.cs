using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.Confirmation;
using TeleHearing.Hub.Identity.Organisation;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity;

/// <summary>Accounts, cookies, and the kits' key scheme. Who may do what stands in the rights table.</summary>
internal static class IdentityRegistration
{
    public static IServiceCollection AddHubIdentity(this IServiceCollection services, HubSettings settings)
    {
        services.AddAccountRules();
        services.AddIdentityCore<HubPerson>()
            .AddRoles<IdentityRole>()
            .AddEntityFrameworkStores<HubContext>()
            .AddSignInManager()
            .AddClaimsPrincipalFactory<NamedPrincipalFactory>();

        services.AddAuthentication(IdentityConstants.ApplicationScheme)
            .AddScheme<AuthenticationSchemeOptions, KitKeyHandler>(KitKeyHandler.SchemeName, null)
            .AddCookie(IdentityConstants.ApplicationScheme, options =>
            {
                options.Cookie.Name = CookieNames.Of("telehearing", settings);
                options.Cookie.Path = "/";
                options.Cookie.HttpOnly = true;
                // Not sent with requests other sites start, sockets among them; the origin check below is the second line.
                options.Cookie.SameSite = SameSiteMode.Strict;
                options.Cookie.SecurePolicy = CookieNames.Secure(settings);
                options.ExpireTimeSpan = TimeSpan.FromHours(12);
                options.SlidingExpiration = true;
                options.EventsType = typeof(SignInCookie);
            })
            .AddPasskeyQuestions(settings)
            .AddOrganisation(settings);

        // Every address asks the rights table. Only files, which tell nothing of anyone, are served without.
        services.AddSingleton<IAuthorizationHandler, EndpointRights>();
        services.AddAuthorizationBuilder().SetFallbackPolicy(new AuthorizationPolicyBuilder(IdentityConstants.ApplicationScheme, KitKeyHandler.SchemeName)
            .AddRequirements(EndpointRights.Requirement.Instance)
            .Build());

        services.AddAntiforgery(options =>
        {
            options.Cookie.Name = CookieNames.Of("telehearing.form", settings);
            options.Cookie.HttpOnly = true;
            options.Cookie.SameSite = SameSiteMode.Strict;
            options.Cookie.SecurePolicy = CookieNames.Secure(settings);
            options.Cookie.Path = "/";
            // Framing is forbidden for every page at once.
            options.SuppressXFrameOptionsHeader = true;
        });
        services.AddSingleton<LivePeople>();
        services.AddSingleton<SignIns>();
        services.AddSingleton<ConsoleCovers>();
        services.AddSingleton<SignInCookie>();
        services.AddSingleton<EntryGuard>();
        services.AddHostedService<LiveWatch>();
        services.AddScoped<WhoAmI>();
        services.AddSingleton<SignInLinks>();
        services.AddAccounts();
        return services;
    }

    /// <summary>Puts the name as shown into the cookie, so that a hub method need not read the database for it.</summary>
    private sealed class NamedPrincipalFactory(UserManager<HubPerson> users, RoleManager<IdentityRole> roles, IOptions<IdentityOptions> options)
        : UserClaimsPrincipalFactory<HubPerson, IdentityRole>(users, roles, options)
    {
        protected override async Task<ClaimsIdentity> GenerateClaimsAsync(HubPerson user)
        {
            var identity = await base.GenerateClaimsAsync(user);
            identity.AddClaim(new Claim(PersonCaller.NameClaim, user.DisplayName));
            return identity;
        }
    }
}
