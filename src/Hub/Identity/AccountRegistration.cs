using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.Own;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SetUp;

namespace TeleHearing.Hub.Identity;

/// <summary>Accounts of the hub's own: rules and services of passkeys, passwords and links.</summary>
internal static class AccountRegistration
{
    /// <summary>How long a person has to answer with a passkey.</summary>
    private static readonly TimeSpan _passkeyTime = TimeSpan.FromMinutes(5);

    /// <summary>Rules; added before the library's, which then stay away.</summary>
    public static void AddAccountRules(this IServiceCollection services)
    {
        // Before the library adds its own, which asks for mixtures of letters and signs.
        services.AddScoped<IPasswordValidator<HubPerson>, PasswordRule>();
        services.Configure<PasswordHasherOptions>(options => options.IterationCount = PasswordWork.Rounds);
        services.Configure<IdentityPasskeyOptions>(options =>
        {
            // Kept with the account's name on the device, so that nobody types one; and the device asks for finger, face or PIN.
            options.ResidentKeyRequirement = "required";
            options.UserVerificationRequirement = "required";
            options.AuthenticatorTimeout = _passkeyTime;
        });
    }

    /// <summary>The short-lived cookie of a question to a passkey.</summary>
    public static AuthenticationBuilder AddPasskeyQuestions(this AuthenticationBuilder authentication, HubSettings settings) => authentication
            .AddCookie(IdentityConstants.TwoFactorUserIdScheme, options =>
            {
                // Holds the question asked of a passkey until it is answered.
                options.Cookie.Name = CookieNames.Of("telehearing.passkey", settings);
                options.Cookie.Path = "/";
                options.Cookie.HttpOnly = true;
                options.Cookie.SameSite = SameSiteMode.Strict;
                options.Cookie.SecurePolicy = CookieNames.Secure(settings);
                options.ExpireTimeSpan = _passkeyTime;
            });

    /// <summary>Services.</summary>
    public static void AddAccounts(this IServiceCollection services)
    {
        services.AddSingleton<WrongTries>();
        services.AddSingleton<RecoveryCodes>();
        services.AddSingleton<PasswordWork>();
        services.AddScoped<PersonProof>();
        services.AddScoped<Entry>();
        services.AddScoped<Credentials>();
        services.AddSingleton<Invitations>();
        services.AddScoped<AccountSetUp>();
        services.AddScoped<OwnAccount>();
    }
}
