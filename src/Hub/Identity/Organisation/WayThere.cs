using System.Globalization;
using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using TeleHearing.Hub.Identity.SignedIn;

namespace TeleHearing.Hub.Identity.Organisation;

/// <summary>What the hub must still know when somebody comes back from their organisation's sign-in. It travels sealed in the state (OpenID Connect Core 1.0, 3.1.2.1), since the browser does not send the strict cookie on the way back.</summary>
/// <param name="AskedAt">When they were sent there, to the second.</param>
/// <param name="Earlier">The sign-in this browser had then; absent when nobody was signed in.</param>
internal sealed record WayThere(DateTimeOffset AskedAt, string? Earlier)
{
    /// <summary>By how much the clocks of issuer and hub may differ (common practice: a minute or a few).</summary>
    private static readonly TimeSpan _clocks = TimeSpan.FromMinutes(1);

    private const string Asked = "asked-at";
    private const string Had = "earlier-sign-in";

    /// <summary>Somebody sets out.</summary>
    public static WayThere From(ClaimsPrincipal user, DateTimeOffset now) => new(now, user.FindFirstValue(SignInCookie.SignInClaim));

    /// <summary>Reads what came back; absent parts count as unknown.</summary>
    public static WayThere Read(AuthenticationProperties? properties) => new(
        Seconds(properties?.Items.TryGetValue(Asked, out var text) == true ? text : null) ?? DateTimeOffset.MaxValue,
        properties?.Items.TryGetValue(Had, out var id) == true ? id : null);

    /// <summary>To be kept in the state.</summary>
    public AuthenticationProperties Kept() => new(new Dictionary<string, string?>
    {
        [Asked] = AskedAt.ToUnixTimeSeconds().ToString(CultureInfo.InvariantCulture),
        [Had] = Earlier,
    })
    {
        RedirectUri = "/",
    };

    /// <summary>Whether the person proved at the issuer that it is them since they were sent there: an issuer may let somebody through who is signed in there already, and then nobody proved anything here.</summary>
    /// <param name="theirs">Claims of the identity token, of which "auth_time" counts (OpenID Connect Core 1.0, 2).</param>
    public bool ProvenSince(ClaimsPrincipal theirs) =>
        AskedAt < DateTimeOffset.MaxValue && Seconds(theirs.FindFirstValue("auth_time")) is { } proven && proven >= AskedAt - _clocks;

    private static DateTimeOffset? Seconds(string? text) =>
        long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var seconds) && seconds <= DateTimeOffset.MaxValue.ToUnixTimeSeconds() ? DateTimeOffset.FromUnixTimeSeconds(seconds) : null;
}
