using System.Security.Claims;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;
using OpenIddict.Abstractions;
using OpenIddict.Server;
using TeleHearing.Testing;
using static OpenIddict.Abstractions.OpenIddictConstants;

namespace TeleHearing.Hub.Tests.Identity.Organisation;

/// <summary>An issuer of OpenID Connect on this machine, made with OpenIddict, with the addresses and claims of Entra ID (Microsoft identity platform, "ID token claims reference", version 2.0: tid, oid, roles, issuer …/TENANT/v2.0).</summary>
internal sealed class LoopbackIssuer : IAsyncDisposable
{
    public const string ClientId = "0e6c9a51-26c2-4d1c-9f6f-3b0d4c6b7a01";
    public const string Secret = "loopback secret";
    public const string Tenant = "8f0c1b6e-5c0a-4f0e-9b3f-6a1d2c3e4f50";

    private readonly WebApplication _app;
    private readonly RsaSecurityKey _key;

    private LoopbackIssuer(WebApplication app, RsaSecurityKey key, Uri address)
    {
        _app = app;
        _key = key;
        Address = address;
    }

    public Uri Address { get; }

    /// <summary>Who signs in next.</summary>
    public Dictionary<string, string[]> Claims { get; set; } = Entra("oid-1", "Maren Toft", "Hearing.Clinician");

    /// <summary>When whoever signs in next says to have proved who they are; absent for an issuer that does not say.</summary>
    public Func<DateTimeOffset?> AuthenticatedAt { get; set; } = () => TimeProvider.System.GetUtcNow();

    /// <summary>Changes the identity token before it is signed anew with the issuer's own key.</summary>
    public Action<SecurityTokenDescriptor>? Forge { get; set; }

    public static Dictionary<string, string[]> Entra(string oid, string name, params string[] roles) => new(StringComparer.Ordinal)
    {
        ["sub"] = ["subject-of-" + oid],
        ["oid"] = [oid],
        ["tid"] = [Tenant],
        ["name"] = [name],
        ["ver"] = ["2.0"],
        ["roles"] = roles,
    };

    public static async Task<LoopbackIssuer> Start()
    {
        var key = new RsaSecurityKey(RSA.Create(2048)) { KeyId = "loopback-key" };
        var address = new Uri($"http://127.0.0.1:{FreePorts.Take()}/");
        LoopbackIssuer? issuer = null;
        var builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls(address.GetLeftPart(UriPartial.Authority));
        builder.Services.AddRouting();
        builder.Services.AddOpenIddict().AddServer(options =>
        {
            options.SetIssuer(new Uri(address, $"{Tenant}/v2.0"));
            options.SetConfigurationEndpointUris($"{Tenant}/v2.0/.well-known/openid-configuration");
            options.SetJsonWebKeySetEndpointUris($"{Tenant}/discovery/v2.0/keys");
            options.SetAuthorizationEndpointUris($"{Tenant}/oauth2/v2.0/authorize");
            options.SetTokenEndpointUris($"{Tenant}/oauth2/v2.0/token");
            options.AllowAuthorizationCodeFlow().RequireProofKeyForCodeExchange();
            options.RegisterScopes(Scopes.OpenId, Scopes.Profile);
            options.AddSigningKey(key).AddEphemeralEncryptionKey();
            options.EnableDegradedMode();
            options.UseAspNetCore().DisableTransportSecurityRequirement();
            options.AddEventHandler<OpenIddictServerEvents.ValidateAuthorizationRequestContext>(handler => handler.UseInlineHandler(context =>
            {
                if (context.ClientId != ClientId)
                {
                    context.Reject(Errors.InvalidClient);
                }

                return default;
            }));
            options.AddEventHandler<OpenIddictServerEvents.ValidateTokenRequestContext>(handler => handler.UseInlineHandler(context =>
            {
                if (context.ClientId != ClientId || context.ClientSecret != Secret)
                {
                    context.Reject(Errors.InvalidClient);
                }

                return default;
            }));
            options.AddEventHandler<OpenIddictServerEvents.HandleAuthorizationRequestContext>(handler => handler.UseInlineHandler(context =>
            {
                var identity = new ClaimsIdentity("loopback", "name", "roles");
                foreach (var (type, values) in issuer!.Claims)
                {
                    identity.AddClaims(values.Select(value => new Claim(type, value)));
                }

                if (issuer.AuthenticatedAt() is { } at)
                {
                    identity.AddClaim(new Claim("auth_time", at.ToUnixTimeSeconds().ToString(System.Globalization.CultureInfo.InvariantCulture), ClaimValueTypes.Integer64));
                }

                identity.SetDestinations(_ => [Destinations.IdentityToken]);
                context.Principal = new ClaimsPrincipal(identity);
                context.Principal.SetScopes(Scopes.OpenId, Scopes.Profile);
                return default;
            }));
            options.AddEventHandler<OpenIddictServerEvents.ApplyTokenResponseContext>(handler => handler.UseInlineHandler(context =>
            {
                if (issuer!.Forge is { } forge && context.Response.IdToken is { } token)
                {
                    context.Response.IdToken = issuer.Signed(token, forge);
                }

                return default;
            }));
        });
        var app = builder.Build();
        app.UseRouting();
        app.UseAuthentication();
        issuer = new LoopbackIssuer(app, key, address);
        await app.StartAsync(TestContext.Current.CancellationToken);
        return issuer;
    }

    public ValueTask DisposeAsync() => _app.DisposeAsync();

    private string Signed(string token, Action<SecurityTokenDescriptor> forge)
    {
        var handler = new JsonWebTokenHandler { SetDefaultTimesOnTokenCreation = false };
        var read = handler.ReadJsonWebToken(token);
        var kept = read.Claims.Where(claim => claim.Type is not ("iss" or "aud" or "exp" or "nbf" or "iat")).GroupBy(claim => claim.Type).ToDictionary(group => group.Key, group => group.Count() == 1 ? (object)group.Single().Value : group.Select(claim => claim.Value).ToArray());
        var descriptor = new SecurityTokenDescriptor
        {
            Issuer = read.Issuer,
            Audience = read.Audiences.Single(),
            IssuedAt = read.IssuedAt,
            NotBefore = read.IssuedAt,
            Expires = read.ValidTo,
            Claims = kept,
            SigningCredentials = new SigningCredentials(_key, SecurityAlgorithms.RsaSha256),
        };
        forge(descriptor);
        return handler.CreateToken(descriptor);
    }
}
