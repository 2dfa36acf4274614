using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity;

/// <summary>Names of cookies. Over HTTPS they bear the prefix by which a browser binds a cookie to this host, this path and HTTPS (RFC 6265bis, 4.1.3.2); on the own machine by plain HTTP they cannot.</summary>
internal static class CookieNames
{
    /// <summary>The name.</summary>
    public static string Of(string name, HubSettings settings) => settings.OverHttps() ? "__Host-" + name : name;

    /// <summary>Whether the browser may send it by HTTPS alone.</summary>
    public static CookieSecurePolicy Secure(HubSettings settings) => settings.OverHttps() ? CookieSecurePolicy.Always : CookieSecurePolicy.SameAsRequest;
}
