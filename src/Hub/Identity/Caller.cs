using System.Security.Claims;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Identity;

/// <summary>Who asks. Known by own key, never by connection.</summary>
public abstract record Caller;

/// <summary>Who sent a request.</summary>
internal static class CallerOf
{
    /// <returns>Null when nobody is signed in.</returns>
    public static Caller? Principal(ClaimsPrincipal? principal) =>
        principal?.Identity?.IsAuthenticated != true ? null
        : principal.HasClaim(claim => claim.Type == KitKeyHandler.KitClaim) ? KitCaller.From(principal)
        : PersonCaller.From(principal);
}

/// <summary>A signed-in person.</summary>
/// <param name="Id">Account id.</param>
/// <param name="Name">Name as shown.</param>
/// <param name="Roles">Roles.</param>
public sealed record PersonCaller(string Id, string Name, IReadOnlyList<string> Roles) : Caller
{
    /// <summary>The sign-in by which they came; absent only for the machine's own command line.</summary>
    public string? SignInId { get; init; }

    internal const string NameClaim = "telehearing:name";

    internal static PersonCaller From(ClaimsPrincipal user) => new(
        user.FindFirstValue(ClaimTypes.NameIdentifier) ?? throw new InvalidOperationException("A signed-in person has no id: authorisation let an unknown caller through."),
        user.FindFirstValue(NameClaim) ?? throw new InvalidOperationException("A signed-in person has no name: the account is incomplete."),
        [.. user.FindAll(ClaimTypes.Role).Select(claim => claim.Value)])
    {
        // Never absent: a cookie without one is let through nowhere.
        SignInId = user.FindFirstValue(SignInCookie.SignInClaim) ?? string.Empty,
    };
}

/// <summary>A kit.</summary>
public sealed record KitCaller(KitId KitId) : Caller
{
    internal static KitCaller From(ClaimsPrincipal user) => new(new KitId(
        user.FindFirstValue(KitKeyHandler.KitClaim) ?? throw new InvalidOperationException("A kit connection has no kit id: authorisation let an unknown caller through.")));
}
