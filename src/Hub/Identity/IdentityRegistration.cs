using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using Microsoft.Extensions.Options;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity;

/// <summary>Accounts, cookies, the kits' key scheme, and who may do what.</summary>
internal static class IdentityRegistration
{
    /// <summary>A signed-in person of any role.</summary>
    public const string PersonPolicy = "person";

    /// <summary>Someone who may see sessions and records.</summary>
    public const string SessionPolicy = "sessions";

    /// <summary>Someone who looks after kits.</summary>
    public const string KitCarePolicy = "kit-care";

    /// <summary>A kit with a key of its own.</summary>
    public const string KitPolicy = "kit";

    public static IServiceCollection AddHubIdentity(this IServiceCollection services, HubSettings settings)
    {
        services.AddDataProtection()
            .SetApplicationName("TeleHearing.Hub")
            .PersistKeysToFileSystem(PrivateFolder(Path.Combine(settings.DataFolder, "keys")));

        services.AddIdentityCore<HubPerson>()
            .AddRoles<IdentityRole>()
            .AddEntityFrameworkStores<HubContext>()
            .AddSignInManager()
            .AddClaimsPrincipalFactory<NamedPrincipalFactory>();

        services.AddAuthentication(IdentityConstants.ApplicationScheme)
            .AddScheme<AuthenticationSchemeOptions, KitKeyHandler>(KitKeyHandler.SchemeName, null)
            .AddCookie(IdentityConstants.ApplicationScheme, options =>
            {
                options.Cookie.Name = "telehearing";
                options.Cookie.HttpOnly = true;
                // Not sent with requests other sites start, sockets among them; the origin check below is the second line.
                options.Cookie.SameSite = SameSiteMode.Strict;
                options.Cookie.SecurePolicy = CookieSecurePolicy.SameAsRequest;
                options.ExpireTimeSpan = TimeSpan.FromHours(12);
                options.SlidingExpiration = true;
                options.Events = new CookieAuthenticationEvents
                {
                    OnValidatePrincipal = SecurityStampValidator.ValidatePrincipalAsync,
                    // There is no sign-in form to send anyone to: links come from the clinic.
                    OnRedirectToLogin = context => Answer(context.Response, StatusCodes.Status401Unauthorized),
                    OnRedirectToAccessDenied = context => Answer(context.Response, StatusCodes.Status403Forbidden),
                };
            });

        services.AddAuthorizationBuilder()
            .AddPolicy(PersonPolicy, policy => policy
                .AddAuthenticationSchemes(IdentityConstants.ApplicationScheme)
                .RequireRole(Roles.Clinician, Roles.Coordinator, Roles.Owner))
            .AddPolicy(SessionPolicy, policy => policy
                .AddAuthenticationSchemes(IdentityConstants.ApplicationScheme)
                .RequireRole(Roles.Clinician, Roles.Owner))
            .AddPolicy(KitCarePolicy, policy => policy
                .AddAuthenticationSchemes(IdentityConstants.ApplicationScheme)
                .RequireRole(Roles.Coordinator, Roles.Owner))
            .AddPolicy(KitPolicy, policy => policy
                .AddAuthenticationSchemes(KitKeyHandler.SchemeName)
                .RequireClaim(KitKeyHandler.KitClaim));

        services.AddSingleton<SignInLinks>();
        return services;
    }

    /// <summary>A folder that only the account of the hub may enter, where the system knows such rights.</summary>
    private static DirectoryInfo PrivateFolder(string path) => OperatingSystem.IsWindows()
        ? Directory.CreateDirectory(path)
        : Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);

    private static Task Answer(HttpResponse response, int status)
    {
        response.StatusCode = status;
        return Task.CompletedTask;
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
