using System.Buffers.Text;
using System.Globalization;
using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Identity.Own;
using TeleHearing.Hub.Identity.Proof;

namespace TeleHearing.Hub.Identity.Pages;

/// <summary>A person's own account.</summary>
internal static class AccountPage
{
    /// <summary>Before anything can be changed: a proof that it is them.</summary>
    public static PlainPage Unconfirmed(HttpContext http, HubPerson person, bool hasPasskey, string? fault) => new(
        fault is null ? StatusCodes.Status200OK : StatusCodes.Status403Forbidden,
        "Your account",
        $"""
        {PlainPage.Answer(fault)}
        <p>{PlainPage.Text(person.DisplayName)} · <a href="/">Back to the console</a></p>
        <section aria-labelledby="confirm"><h2 id="confirm">Show that it is you</h2>
        <p>You signed in more than five minutes ago, and somebody else might sit here now.</p>
        {(hasPasskey ? SetUpPages.Passkey(http, "show", AccountEndpoints.Path + "/confirm", "Confirm with your passkey") : string.Empty)}
        {(person.PasswordHash is null ? string.Empty : ConfirmByPassword(http))}
        {(hasPasskey || person.PasswordHash is not null ? string.Empty : "<p>You came by a link and have set up neither a passkey nor a password. Come by a new link, and open this page within five minutes.</p>")}
        </section>
        """);

    public static PlainPage Write(HttpContext http, HubPerson person, IList<UserPasskeyInfo> passkeys, int codesLeft, AuthenticatorOffer offer, string? signInName, string? fault, string? done)
    {
        var hasPassword = person.PasswordHash is not null;
        return new PlainPage(
            fault is null ? StatusCodes.Status200OK : StatusCodes.Status422UnprocessableEntity,
            "Your account",
            $"""
            {PlainPage.Answer(fault)}{PlainPage.Answer(done, halt: false)}
            <p>{PlainPage.Text(person.DisplayName)} · <a href="/">Back to the console</a></p>
            {(passkeys.Count == 0 && !hasPassword ? PlainPage.Answer("You came by a link that works once. Make a passkey or a password now, so that you can come back.", halt: false) : string.Empty)}
            <section aria-labelledby="passkeys"><h2 id="passkeys">Passkeys</h2>
            {Passkeys(http, passkeys)}
            {SetUpPages.Passkey(http, "make", AccountEndpoints.Path + "/passkeys", "Add a passkey", SetUpPages.PasskeyName)}
            </section>
            {(hasPassword ? ChangePassword(http) : string.Empty)}
            {(hasPassword ? Codes(http, codesLeft) : string.Empty)}
            <section aria-labelledby="authenticator"><h2 id="authenticator">{(hasPassword ? "New sign-in name, password and authenticator" : "Password and authenticator")}</h2>
            <p>{(hasPassword ? "Replaces the ones you have, e.g. when you change the device of the authenticator. Your old recovery codes stop working." : "A second way to sign in, with ten recovery codes.")}</p>
            <form method="post" action="{AccountEndpoints.Path}/authenticator">{PlainPage.Token(http)}
            {SetUpPages.NewPassword(signInName ?? (hasPassword ? person.UserName : null))}{SetUpPages.Authenticator(offer, person.DisplayName)}
            <button type="submit">Set these</button>
            </form></section>
            <section aria-labelledby="sign-ins"><h2 id="sign-ins">Other sign-ins</h2>
            <p>When you forgot to sign out somewhere, or lost a device. You stay signed in here.</p>
            <form method="post" action="{AccountEndpoints.Path}/sign-ins/end">{PlainPage.Token(http)}<button type="submit" class="plain">End all other sign-ins</button></form>
            </section>
            """);
    }

    private static string Passkeys(HttpContext http, IList<UserPasskeyInfo> passkeys) => passkeys.Count == 0
        ? "<p>You have none.</p>"
        : $"""<ul class="list">{string.Concat(passkeys.OrderBy(passkey => passkey.CreatedAt).Select(passkey => Passkey(http, passkey)))}</ul>""";

    private static string Passkey(HttpContext http, UserPasskeyInfo passkey) =>
        $"""
        <li>{PlainPage.Text(passkey.Name)}, since {passkey.CreatedAt.ToString("d MMMM yyyy", CultureInfo.InvariantCulture)}
        <form method="post" action="{AccountEndpoints.Path}/passkeys/remove">{PlainPage.Token(http)}<input type="hidden" name="id" value="{Base64Url.EncodeToString(passkey.CredentialId)}">
        <button type="submit" class="plain">Remove {PlainPage.Text(passkey.Name)}</button></form></li>
        """;

    private static string ConfirmByPassword(HttpContext http) =>
        $"""
        <form method="post" action="{AccountEndpoints.Path}/confirm">{PlainPage.Token(http)}
        <label for="secret">Password</label>
        <input id="secret" name="password" type="password" autocomplete="current-password" required>
        <label for="code">Code of your authenticator, or a recovery code</label>
        <input id="code" name="code" autocomplete="one-time-code" spellcheck="false" required>
        <button type="submit">Confirm with password and code</button>
        </form>
        """;

    private static string ChangePassword(HttpContext http) =>
        $"""
        <section aria-labelledby="password"><h2 id="password">Password</h2>
        <form method="post" action="{AccountEndpoints.Path}/password">{PlainPage.Token(http)}
        <label for="current-password">Password you have now</label>
        <input id="current-password" name="current-password" type="password" autocomplete="current-password" required>
        <label for="changed-password">New password, at least {PasswordRule.Shortest} characters</label>
        <input id="changed-password" name="password" type="password" autocomplete="new-password" minlength="{PasswordRule.Shortest}" maxlength="{PasswordRule.Longest}" required>
        <button type="submit">Change the password</button>
        </form></section>
        """;

    private static string Codes(HttpContext http, int left) =>
        $"""
        <section aria-labelledby="recovery"><h2 id="recovery">Recovery codes</h2>
        <p>{left.ToString(CultureInfo.InvariantCulture)} of {RecoveryCodes.Count} are left. New ones replace them all.</p>
        <form method="post" action="{AccountEndpoints.Path}/recovery-codes">{PlainPage.Token(http)}<button type="submit" class="plain">Make ten new codes</button></form>
        </section>
        """;
}
