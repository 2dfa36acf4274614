using System.Net;
using TeleHearing.Hub.Identity.Pages;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A browser as far as the plain pages need one: cookies, and forms that are loaded before they are sent.</summary>
internal static class Browsing
{
    /// <summary>A browser nobody is signed in with.</summary>
    public static HttpClient Browser(this RunningHub hub, CookieContainer? cookies = null) =>
        new(new HttpClientHandler { CookieContainer = cookies ?? new CookieContainer(), AllowAutoRedirect = false }) { BaseAddress = hub.Address };

    /// <summary>Loads a page and sends its form to the same address.</summary>
    public static Task<HttpResponseMessage> Send(this HttpClient browser, string page, params IEnumerable<(string Name, string Value)> fields) => browser.SendFrom(page, page, fields);

    /// <summary>Loads a page and sends one of its forms.</summary>
    public static async Task<HttpResponseMessage> SendFrom(this HttpClient browser, string page, string address, params IEnumerable<(string Name, string Value)> fields)
    {
        var token = TestContext.Current.CancellationToken;
        var loaded = await browser.GetAsync(page, token);
        var text = await loaded.Content.ReadAsStringAsync(token);

        // A page without a form: what it says is the answer.
        return text.Contains(FormToken.Field, StringComparison.Ordinal) ? await browser.PostAsync(address, FormToken.Form(text, fields), token) : loaded;
    }
}
