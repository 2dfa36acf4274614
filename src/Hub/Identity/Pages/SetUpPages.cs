using System.Net;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SetUp;

namespace TeleHearing.Hub.Identity.Pages;

/// <summary>The pages of setting up an account by invitation.</summary>
internal static class SetUpPages
{
    public static PlainPage Choose(HttpContext http, string code, Invitee invitee, AuthenticatorOffer offer, PasswordChoice? typed = null, string? fault = null)
    {
        var path = $"/set-up/{code}";
        var names = new[] { "passkey-full-name", "full-name" }.Select(id => invitee.Person is null ? FullName(id, typed?.FullName) : string.Empty).ToArray();
        return new PlainPage(
            fault is null ? StatusCodes.Status200OK : StatusCodes.Status422UnprocessableEntity,
            invitee.Person is { } person ? $"Welcome, {person.DisplayName}" : "Set up the owner's account",
            $"""
            {PlainPage.Answer(fault)}
            <p>{(invitee.Person is null ? "This hub is empty. Whoever completes this page owns it: people, kits, records and rights." : "Choose how you sign in from now on. What you used before, if anything, no longer works afterwards.")} This link works once.</p>
            <section aria-labelledby="with-passkey"><h2 id="with-passkey">With a passkey</h2>
            <p>Best where it works: nothing to remember, and nothing anybody could trick you out of. It stays on your device or security key.</p>
            {Passkey(http, "make", path + "/passkey", "Make a passkey", names[0] + PasskeyName)}
            <p class="hint">{(invitee.Person is null ? "When you lose the device, only whoever has the machine of the hub can let you in again. Make a second passkey on another device, or a password, on your account page." : "When you lose the device, the owner of the clinic gives you a new link. A second passkey on another device spares you that.")}</p>
            </section>
            <section aria-labelledby="with-password"><h2 id="with-password">With a password and an authenticator</h2>
            <form method="post" action="{PlainPage.Text(path)}/password">{PlainPage.Token(http)}{names[1]}
            {NewPassword(typed?.SignInName)}{Authenticator(offer, invitee.Person?.DisplayName ?? "owner")}
            <button type="submit">Set up with a password</button>
            </form></section>
            """);
    }

    /// <summary>Recovery codes, shown once.</summary>
    public static PlainPage Codes(IReadOnlyList<string> codes, string next) => new(
        StatusCodes.Status200OK,
        "Write down your recovery codes",
        $"""
        <p>Each of these stands in once for a code of your authenticator, should you lose it. They are shown now and never again: print them, or write them down, and keep them where nobody else looks.</p>
        <ol class="codes">{string.Concat(codes.Select(code => $"<li>{code}</li>"))}</ol>
        <p><a href="{next}">I have them: go on</a></p>
        """);

    public static PlainPage Spent() => new(
        StatusCodes.Status410Gone,
        "This link no longer works",
        """<p>It was used before, a newer one was made, or it is too old. Nothing has happened. If you have set up your account, <a href="/sign-in">sign in</a>; otherwise ask the owner of the clinic for a new link.</p>""");

    /// <summary>A passkey's form where passkeys can be; what to do instead where they cannot.</summary>
    internal static string Passkey(HttpContext http, string kind, string action, string button, string fields = "") =>
        IPAddress.TryParse(http.Request.Host.Host, out _)
            ? "<p class=\"answer\">Passkeys need an address by name: localhost, or a name with HTTPS. This page was opened by a number.</p>"
            : PlainPage.PasskeyForm(http, kind, action, button, fields);

    internal const string PasskeyName = """<label for="passkey-name">Name of this passkey, e.g. the device</label><input id="passkey-name" name="passkey-name" maxlength="60" autocomplete="off">""";

    internal static string NewPassword(string? signInName) =>
        $"""
        <label for="sign-in-name">Sign-in name</label>
        <input id="sign-in-name" name="sign-in-name" autocomplete="username" autocapitalize="none" spellcheck="false" maxlength="{SignInName.Longest}" required value="{PlainPage.Text(signInName)}">
        <label for="new-password">New password</label>
        <input id="new-password" name="password" type="password" autocomplete="new-password" minlength="{PasswordRule.Shortest}" maxlength="{PasswordRule.Longest}" aria-describedby="password-hint" required>
        <p class="hint" id="password-hint">At least {PasswordRule.Shortest} characters, any you like. A few words that do not belong together are good. It is not asked to be changed every so often.</p>
        """;

    internal static string Authenticator(AuthenticatorOffer offer, string account) =>
        $"""
        <p>Open an authenticator (a program for codes, RFC 6238) on another device and let it read this picture, or type the key.</p>
        {offer.Picture(account)}
        <p class="key">Key: {string.Join(' ', offer.Key.Chunk(4).Select(part => new string(part)))}</p>
        <input type="hidden" name="sealed" value="{PlainPage.Text(offer.Sealed)}">
        <label for="new-code">Code it shows now</label>
        <input id="new-code" name="code" inputmode="numeric" autocomplete="one-time-code" maxlength="10" required>
        """;

    private static string FullName(string id, string? value) =>
        $"""<label for="{id}">Your name, as others see it</label><input id="{id}" name="full-name" autocomplete="name" maxlength="{AccountSetUp.LongestName}" required value="{PlainPage.Text(value)}">""";
}
