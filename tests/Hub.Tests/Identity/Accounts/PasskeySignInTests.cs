using System.Net;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>Passkeys over HTTP, answered by an authenticator in software that is written by the standard.</summary>
public sealed class PasskeySignInTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task APasskeyMadeByALinkSignsInAndItsAnswerWorksOnce()
    {
        await using var desk = await AccountDesk.Open();
        var link = await desk.Invite(await desk.Hub.Person("Maren Toft", Roles.Clinician));
        using var passkey = new SoftPasskey(desk.Hub.Address);
        using var browser = Browser(desk);
        var made = passkey.Make(await Question(browser, link, link + "/passkey/question"));

        Assert.Equal(HttpStatusCode.Redirect, (await browser.SendFrom(link, link + "/passkey", ("credential", made), ("passkey-name", "laptop"))).StatusCode);
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(browser));
        Assert.Contains("laptop", await browser.GetStringAsync("/account", Token), StringComparison.Ordinal);

        using var other = Browser(desk);
        var shown = passkey.Show(await Question(other, "/sign-in", "/sign-in/passkey/question"));
        Assert.Equal(HttpStatusCode.Redirect, await Answer(other, shown));
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(other));

        await other.PostAsync("/sign-out", null, Token);
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(other, shown));
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(other));
    }

    [Fact]
    public async Task WhatIsNotTheRightAnswerIsRefused()
    {
        await using var desk = await AccountDesk.Open();
        var maren = await desk.Hub.Person("Maren Toft", Roles.Clinician);
        using var passkey = await Make(desk, maren);
        using var stranger = new SoftPasskey(desk.Hub.Address);
        using var elsewhere = new SoftPasskey(new Uri("https://elsewhere.example"));
        using var browser = Browser(desk);

        Task<string> Ask() => Question(browser, "/sign-in", "/sign-in/passkey/question");
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(browser, passkey.Show("{\"challenge\":\"AAAA\"}")));
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(browser, passkey.Show(await Ask(), verified: false)));
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(browser, stranger.Show(await Ask())));
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(browser, elsewhere.Show(await Ask())));
        await Ask();
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(browser, "{ not json"));
        var late = passkey.Show(await Ask());
        desk.Clock.Advance(TimeSpan.FromMinutes(6));
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(browser, late));

        Assert.Equal(HttpStatusCode.Redirect, await Answer(browser, passkey.Show(await Ask())));
        await using (var context = await desk.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.Users.Where(user => user.Id == maren).ExecuteUpdateAsync(set => set.SetProperty(user => user.ClosedTicks, 1), Token);
        }

        // A closed account is refused with the cookie at hand, and with a right answer.
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
        Assert.Equal(HttpStatusCode.Forbidden, await Answer(browser, passkey.Show(await Ask())));
    }

    [Fact]
    public async Task APasskeyMadeForOneLinkCompletesNoOther()
    {
        await using var desk = await AccountDesk.Open();
        var marens = await desk.Invite(await desk.Hub.Person("Maren Toft", Roles.Clinician));
        var ivos = await desk.Invite(await desk.Hub.Person("Ivo Lindqvist", Roles.Owner));
        using var passkey = new SoftPasskey(desk.Hub.Address);
        using var browser = Browser(desk);
        var made = passkey.Make(await Question(browser, marens, marens + "/passkey/question"));

        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await browser.SendFrom(ivos, ivos + "/passkey", ("credential", made))).StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
    }

    /// <summary>A person's passkey, made by a link.</summary>
    internal static async Task<SoftPasskey> Make(AccountDesk desk, string personId)
    {
        var link = await desk.Invite(personId);
        var passkey = new SoftPasskey(desk.Hub.Address);
        using var browser = Browser(desk);
        var made = passkey.Make(await Question(browser, link, link + "/passkey/question"));
        Assert.Equal(HttpStatusCode.Redirect, (await browser.SendFrom(link, link + "/passkey", ("credential", made))).StatusCode);
        return passkey;
    }

    /// <summary>A browser that says, as browsers do, which site's page sends a form.</summary>
    internal static HttpClient Browser(AccountDesk desk)
    {
        var browser = desk.Hub.Browser();
        browser.DefaultRequestHeaders.Add("Origin", desk.Hub.Address.GetLeftPart(UriPartial.Authority));
        return browser;
    }

    internal static async Task<string> Question(HttpClient browser, string page, string address)
    {
        var answer = await browser.SendFrom(page, address);
        var text = await answer.Content.ReadAsStringAsync(Token);
        Assert.True(answer.StatusCode == HttpStatusCode.OK, text);
        return text;
    }

    internal static async Task<HttpStatusCode> Answer(HttpClient browser, string credential) =>
        (await browser.SendFrom("/sign-in", "/sign-in/passkey", ("credential", credential))).StatusCode;
}
