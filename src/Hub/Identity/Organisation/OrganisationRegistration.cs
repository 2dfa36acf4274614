using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.OpenIdConnect;
using Microsoft.AspNetCore.Identity;
using Microsoft.Identity.Web;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>Sign-in through an organisation: Microsoft's own library for Entra ID, the framework's handler for any other issuer; both by authorization code with PKCE (RFC 6749, RFC 7636).</summary>
internal static class OrganisationRegistration
{
    public const string Scheme = "organisation";

    /// <summary>Where the issuer sends the browser back to.</summary>
    public const string BackPath = "/sign-in/organisation/back";

    public static AuthenticationBuilder AddOrganisation(this AuthenticationBuilder builder, HubSettings settings)
    {
        builder.Services.AddScoped<OrganisationArrival>();
        if (settings.Organisation is not { } organisation)
        {
            return builder;
        }

        if (organisation.Kind == OrganisationSettings.Entra)
        {
            builder.AddMicrosoftIdentityWebApp(
                options =>
                {
                    options.Instance = organisation.Issuer;
                    options.TenantId = organisation.Tenant;
                    Configure(options, organisation, settings);
                },
                openIdConnectScheme: Scheme,
                cookieScheme: null);

            // Its own settings of the handler are made from those above, and not all are taken over.
            builder.Services.Configure<OpenIdConnectOptions>(Scheme, options => Configure(options, organisation, settings));
        }
        else
        {
            builder.AddOpenIdConnect(Scheme, options =>
            {
                options.Authority = organisation.Issuer;
                Configure(options, organisation, settings);
            });
        }

        return builder;
    }

    private static void Configure(OpenIdConnectOptions options, OrganisationSettings organisation, HubSettings settings)
    {
        options.ClientId = organisation.ClientId;
        options.ClientSecret = organisation.Secret();
        options.CallbackPath = BackPath;
        options.RequireHttpsMetadata = !new Uri(organisation.Issuer).IsLoopback;

        // A code that is of no use without the verifier this hub keeps; never a token in an address.
        options.ResponseType = "code";
        options.ResponseMode = "query";
        options.UsePkce = true;
        options.SaveTokens = false;
        options.GetClaimsFromUserInfoEndpoint = false;
        options.MapInboundClaims = false;
        options.Scope.Clear();
        options.Scope.Add("openid");
        options.Scope.Add("profile");

        // Coming in is taken for a proof of who sits there, so whoever is signed in at the issuer is to show it once more. With "max_age" the issuer must say when they did (OpenID Connect Core 1.0, 3.1.2.1); the arrival looks.
        options.Prompt = "login";
        options.MaxAge = TimeSpan.Zero;
        options.SignInScheme = IdentityConstants.ApplicationScheme;

        // Sent along when the issuer's page leads back here, which is another site's doing: not "strict". They are good for this one answer.
        foreach (var (cookie, name) in new[] { (options.CorrelationCookie, "telehearing.asked."), (options.NonceCookie, "telehearing.nonce.") })
        {
            cookie.Name = CookieNames.Of(name, settings);
            cookie.Path = "/";
            cookie.SameSite = SameSiteMode.Lax;
            cookie.SecurePolicy = CookieNames.Secure(settings);
            cookie.HttpOnly = true;
        }

        options.Events.OnTicketReceived = context => context.HttpContext.RequestServices.GetRequiredService<OrganisationArrival>().Receive(context);
        options.Events.OnRemoteFailure = context => context.HttpContext.RequestServices.GetRequiredService<OrganisationArrival>().Fail(context);
        if (organisation.Kind == OrganisationSettings.Entra)
        {
            options.TokenValidationParameters.ValidIssuer = $"{organisation.Issuer.TrimEnd('/')}/{organisation.Tenant}/v2.0";
        }
    }
}
