using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Identity.Pages;

/// <summary>The pages of getting in and out.</summary>
internal static class SignInPages
{
    /// <summary>Getting in with what one has set up.</summary>
    /// <param name="http">Request of the page.</param>
    /// <param name="name">Sign-in name typed before.</param>
    /// <param name="fault">Why it was not taken before.</param>
    public static PlainPage SignIn(HttpContext http, string? name = null, string? fault = null) => new(
        fault is null ? StatusCodes.Status200OK : StatusCodes.Status403Forbidden,
        "Sign in",
        $"""
        {PlainPage.Answer(fault)}
        <section aria-labelledby="passkey"><h2 id="passkey">With a passkey</h2>
        <p>Your device, your fingerprint or a security key answers for you. Nothing to type.</p>
        {SetUpPages.Passkey(http, "show", "/sign-in/passkey", "Sign in with a passkey")}
        </section>
        <section aria-labelledby="password"><h2 id="password">With a password and a code</h2>
        <form method="post" action="/sign-in">{PlainPage.Token(http)}
        <label for="name">Sign-in name</label>
        <input id="name" name="name" autocomplete="username" autocapitalize="none" spellcheck="false" maxlength="{SignInName.Longest}" required value="{PlainPage.Text(name)}">
        <label for="secret">Password</label>
        <input id="secret" name="password" type="password" autocomplete="current-password" required>
        <label for="code">Code of your authenticator, or a recovery code</label>
        <input id="code" name="code" autocomplete="one-time-code" autocapitalize="characters" spellcheck="false" required>
        <button type="submit">Sign in</button>
        </form></section>
        {Organisation(http)}
        <p>You were given a link? Open it in this browser. You have lost everything? Ask the owner of the clinic for a new link.</p>
        """);

    private static string Organisation(HttpContext http) => http.RequestServices.GetRequiredService<HubSettings>().Organisation is null
        ? string.Empty
        : """<section aria-labelledby="organisation"><h2 id="organisation">With your organisation's account</h2><p><a href="/sign-in/organisation">Sign in through your organisation</a></p></section>""";

    public static PlainPage Offer(HttpContext http, string code) => new(
        StatusCodes.Status200OK,
        "Sign in",
        $"""
        <p>This link signs you in once, in this browser. Do not use it on a computer that others use.</p>
        <p>To come back without a link, make a passkey or a password under your name in the console. That can wait.</p>
        <form method="post" action="/sign-in/{PlainPage.Text(code)}">{PlainPage.Token(http)}<button type="submit">Sign in</button></form>
        """);

    public static PlainPage Spent() => new(
        StatusCodes.Status410Gone,
        "This sign-in link no longer works",
        "<p>It was used before, or it is too old. Nothing has happened. Ask the clinic for a new link.</p>");

    /// <summary>Something asked for that is refused for now.</summary>
    public static PlainPage NotNow(Refusal refusal) => new(
        StatusCodes.Status403Forbidden,
        refusal.Code == RefusalCodes.ConfirmationNeeded ? "Show that it is you" : "Not now",
        $"""
        {PlainPage.Answer($"{refusal.Sentence} {refusal.Remedy}")}
        <p><a href="/account">Your account</a> · <a href="/">Console</a></p>
        """);

    public static PlainPage SignedOut() => new(
        StatusCodes.Status200OK,
        "You are signed out",
        """<p>To come back, <a href="/sign-in">sign in</a> or use a new link.</p>""");
}
