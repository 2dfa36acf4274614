using System.Net;
using System.Text.RegularExpressions;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>What people do with their own account, and what it does to their other sign-ins.</summary>
public sealed partial class OwnAccountTests
{
    private const string Account = "/account";

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task PasskeysAreAddedByNameAndTheOnlyWayInIsNotRemoved()
    {
        await using var desk = await AccountDesk.Open();
        var maren = await desk.Hub.Person("Maren Toft", Roles.Clinician);
        using var first = await PasskeySignInTests.Make(desk, maren);
        using var second = new SoftPasskey(desk.Hub.Address);
        using var browser = PasskeySignInTests.Browser(desk);
        using var elsewhere = PasskeySignInTests.Browser(desk);
        await SignIn(browser, first);
        await SignIn(elsewhere, first);

        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await Remove(browser)).StatusCode);
        var made = second.Make(await PasskeySignInTests.Question(browser, Account, Account + "/passkeys/question"));
        Assert.Equal(HttpStatusCode.OK, (await browser.SendFrom(Account, Account + "/passkeys", ("credential", made), ("passkey-name", "<b>key</b>"))).StatusCode);
        Assert.Contains("&lt;b&gt;key&lt;/b&gt;", await browser.GetStringAsync(Account, Token), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await browser.SendFrom(Account, Account + "/passkeys/remove", ("id", "AAAA"))).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await Remove(browser)).StatusCode);

        // The first one is gone, and so are the sign-ins elsewhere; the one at hand stays.
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(browser));
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(elsewhere));
        Assert.Equal(HttpStatusCode.Forbidden, await PasskeySignInTests.Answer(elsewhere, first.Show(await PasskeySignInTests.Question(elsewhere, "/sign-in", "/sign-in/passkey/question"))));
        await SignIn(elsewhere, second);
    }

    [Fact]
    public async Task AChangedPasswordEndsOtherSignIns()
    {
        await using var desk = await AccountDesk.Open();
        var (_, key, recovery) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        using var browser = desk.Hub.Browser();
        using var elsewhere = desk.Hub.Browser();
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(elsewhere, "maren", AccountDesk.Password, recovery[0]));

        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await browser.SendFrom(Account, Account + "/password", ("current-password", AccountDesk.Password), ("password", "maren toft"))).StatusCode);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await browser.SendFrom(Account, Account + "/password", ("password", "four slow otters swim"))).StatusCode);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await browser.SendFrom(Account, Account + "/password", ("current-password", "nine pale herons run"), ("password", "four slow otters swim"))).StatusCode);
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(elsewhere));
        Assert.Equal(HttpStatusCode.OK, (await browser.SendFrom(Account, Account + "/password", ("current-password", AccountDesk.Password), ("password", "four slow otters swim"))).StatusCode);

        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(browser));
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(elsewhere));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(elsewhere, "maren", AccountDesk.Password, recovery[1]));
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(elsewhere, "maren", "four slow otters swim", recovery[1]));
    }

    [Fact]
    public async Task NewRecoveryCodesReplaceTheOldAndOtherSignInsEndWhenAsked()
    {
        await using var desk = await AccountDesk.Open();
        var (_, key, recovery) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        using var browser = desk.Hub.Browser();
        using var elsewhere = desk.Hub.Browser();
        await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key));
        await AccountDesk.SignIn(elsewhere, "maren", AccountDesk.Password, recovery[0]);
        Assert.Contains("9 of 10 are left", await browser.GetStringAsync(Account, Token), StringComparison.Ordinal);

        var fresh = await (await browser.SendFrom(Account, Account + "/recovery-codes")).Content.ReadAsStringAsync(Token);
        var codes = Codes().Matches(fresh).Select(found => found.Groups[1].Value).ToList();
        Assert.Equal(10, codes.Except(recovery).Count());
        Assert.Equal(HttpStatusCode.OK, (await browser.SendFrom(Account, Account + "/sign-ins/end")).StatusCode);

        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(elsewhere));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(elsewhere, "maren", AccountDesk.Password, recovery[1]));
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(elsewhere, "maren", AccountDesk.Password, codes[0]));
    }

    [Fact]
    public async Task AfterFiveMinutesAProofIsAskedForFirst()
    {
        await using var desk = await AccountDesk.Open();
        var (_, key, _) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        using var browser = desk.Hub.Browser();
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
        desk.Clock.Advance(SignIns.ProofCounts);

        Assert.DoesNotContain("Make ten new codes", await browser.GetStringAsync(Account, Token), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.SendFrom(Account, Account + "/recovery-codes")).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.SendFrom(Account, Account + "/sign-ins/end")).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.SendFrom(Account, Account + "/confirm", ("password", AccountDesk.Password), ("code", "000000"))).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await browser.SendFrom(Account, Account + "/confirm", ("password", AccountDesk.Password), ("code", desk.Code(key)))).StatusCode);
        Assert.Contains("Make ten new codes", await browser.GetStringAsync(Account, Token), StringComparison.Ordinal);
    }

    [Fact]
    public async Task WhoCameByLinkAddsAPasswordAndAnAuthenticator()
    {
        await using var desk = await AccountDesk.Open();
        using var browser = desk.Hub.Browser(await desk.Hub.SignIn(await desk.Hub.Person("Maren Toft", Roles.Clinician)));
        var page = await browser.GetStringAsync(Account, Token);
        Assert.Contains("Make a passkey or a password now", page, StringComparison.Ordinal);
        var (key, seal) = (AccountDesk.Key(page), AccountDesk.Sealed(page));
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await browser.SendFrom(Account, Account + "/recovery-codes")).StatusCode);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await Set("000000")).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await Set(desk.Code(key))).StatusCode);
        desk.NextCode();

        using var other = desk.Hub.Browser();
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(other, "maren", AccountDesk.Password, desk.Code(key)));

        Task<HttpResponseMessage> Set(string code) => browser.SendFrom(Account, Account + "/authenticator", ("sign-in-name", "maren"), ("password", AccountDesk.Password), ("sealed", seal), ("code", code));
    }

    private static async Task SignIn(HttpClient browser, SoftPasskey passkey) =>
        Assert.Equal(HttpStatusCode.Redirect, await PasskeySignInTests.Answer(browser, passkey.Show(await PasskeySignInTests.Question(browser, "/sign-in", "/sign-in/passkey/question"))));

    /// <summary>Removes the oldest passkey.</summary>
    private static async Task<HttpResponseMessage> Remove(HttpClient browser)
    {
        var id = FirstPasskey().Match(await browser.GetStringAsync(Account, Token)).Groups[1].Value;
        return await browser.SendFrom(Account, Account + "/passkeys/remove", ("id", id));
    }

    [GeneratedRegex("name=\"id\" value=\"([^\"]+)\"")]
    private static partial Regex FirstPasskey();

    [GeneratedRegex("<li>([A-Z2-7-]{29})</li>")]
    private static partial Regex Codes();
}
