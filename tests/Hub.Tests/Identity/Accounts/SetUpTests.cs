using System.Net;
using System.Net.Http.Json;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>Becoming somebody in the hub: by a link that works once, and never by a default.</summary>
public sealed class SetUpTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task TheFirstOwnerComesByALinkThatANewerOneVoids()
    {
        await using var desk = await AccountDesk.Open();
        var old = await desk.Invite(null);
        var link = await desk.Invite(null);
        using var browser = desk.Hub.Browser();

        Assert.Equal(HttpStatusCode.Gone, (await browser.GetAsync(old, Token)).StatusCode);
        var (_, recovery) = await desk.SetUp(browser, link, "runa", fullName: "Runa Aske");

        Assert.Equal(10, recovery.Distinct().Count());
        var me = await browser.GetFromJsonAsync<Me>("/api/me", Protocol.Json, Token);
        Assert.Equal("Runa Aske", me!.Name);
        Assert.Equal([Roles.Clinician, Roles.Coordinator, Roles.Owner], me.Roles.Order(StringComparer.Ordinal));
        Assert.Equal(HttpStatusCode.Gone, (await browser.SendFrom("/account", link + "/password")).StatusCode);
        Assert.Equal(me.Id, Assert.Single(await desk.Entries(AuditActs.SetUp)).PersonId);
    }

    [Fact]
    public async Task WhatCannotBeRecordedIsNotSetUpAndTheLinkStaysGood()
    {
        await using var desk = await AccountDesk.Open();
        var link = await desk.Invite(await desk.Hub.Person("Maren Toft", Roles.Clinician));
        using var browser = desk.Hub.Browser();
        var page = await browser.GetStringAsync(link, Token);
        await Sql(desk, "ALTER TABLE audit_entries RENAME TO audit_away");

        var answer = await browser.SendFrom(link, link + "/password", ("sign-in-name", "maren"), ("password", AccountDesk.Password), ("sealed", AccountDesk.Sealed(page)), ("code", desk.Code(AccountDesk.Key(page))));

        Assert.NotEqual(HttpStatusCode.OK, answer.StatusCode);
        await Sql(desk, "ALTER TABLE audit_away RENAME TO audit_entries");
        desk.NextCode();
        await desk.SetUp(browser, link, "maren");
    }

    [Fact]
    public async Task RecoveryCodesAreShownAlsoWhenSigningInFails()
    {
        await using var desk = await AccountDesk.Open();
        var link = await desk.Invite(await desk.Hub.Person("Maren Toft", Roles.Clinician));
        using var browser = desk.Hub.Browser();

        // The sign-in is kept after the account: there the disk fails.
        await Sql(desk, "CREATE TRIGGER full BEFORE INSERT ON sign_ins BEGIN SELECT RAISE(ABORT, 'full'); END");
        var (key, recovery) = await desk.SetUp(browser, link, "maren");

        Assert.Equal(10, recovery.Count);
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
        await Sql(desk, "DROP TRIGGER full");
        desk.NextCode();
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
    }

    private static async Task Sql(AccountDesk desk, string text)
    {
        await using var context = await desk.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        await context.Database.ExecuteSqlRawAsync(text, Token);
    }

    [Fact]
    public async Task OnceSomebodyIsThereNoLinkMakesAnOwner()
    {
        await using var desk = await AccountDesk.Open();
        var link = await desk.Invite(null);
        await desk.Hub.Person("Runa Aske", Roles.Owner);
        using var browser = desk.Hub.Browser();

        Assert.Equal(HttpStatusCode.Gone, (await browser.GetAsync(link, Token)).StatusCode);
    }

    [Fact]
    public async Task BadInputLosesNothingAndTheLinkStaysGood()
    {
        await using var desk = await AccountDesk.Open();
        await desk.Person("Ivo Lindqvist", "taken", Roles.Clinician);
        var link = await desk.Invite(await desk.Hub.Person("Maren Toft", Roles.Clinician));
        using var browser = desk.Hub.Browser();
        var page = await browser.GetStringAsync(link, Token);
        var (key, seal) = (AccountDesk.Key(page), AccountDesk.Sealed(page));
        (string Name, string Password, string Sealed, string Code, string Said)[] bad =
        [
            ("maren", "short", seal, desk.Code(key), "at least 12"),
            ("maren", "qwertyqwerty", seal, desk.Code(key), "Many people"),
            ("maren", AccountDesk.Password, seal, "000000", "not the one your authenticator shows"),
            ("maren", AccountDesk.Password, "forged", desk.Code(key), "open for too long"),
            ("Taken", AccountDesk.Password, seal, desk.Code(key), "Somebody has this sign-in name"),
            ("m t", AccountDesk.Password, seal, desk.Code(key), "A sign-in name is made of"),
        ];

        foreach (var (name, password, sealing, code, said) in bad)
        {
            var answer = await browser.SendFrom(link, link + "/password", ("sign-in-name", name), ("password", password), ("sealed", sealing), ("code", code));
            var text = await answer.Content.ReadAsStringAsync(Token);
            Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.StatusCode);
            Assert.Contains(said, text, StringComparison.Ordinal);
            Assert.DoesNotContain(AccountDesk.Password, text, StringComparison.Ordinal);
            Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
        }

        Assert.Equal(HttpStatusCode.BadRequest, (await browser.PostAsync(link + "/password", null, Token)).StatusCode);
        await desk.SetUp(browser, link, "maren");
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(browser));
    }

    [Fact]
    public async Task ALinkEndsWithItsTimeAndWithItsUse()
    {
        await using var desk = await AccountDesk.Open();
        var maren = await desk.Hub.Person("Maren Toft", Roles.Clinician);
        var link = await desk.Invite(maren);
        desk.Clock.Advance(TimeSpan.FromDays(3));
        using var browser = desk.Hub.Browser();
        Assert.Equal(HttpStatusCode.Gone, (await browser.GetAsync(link, Token)).StatusCode);

        link = await desk.Invite(maren);
        await desk.SetUp(browser, link, "maren");

        using var other = desk.Hub.Browser();
        Assert.Equal(HttpStatusCode.Gone, (await other.GetAsync(link, Token)).StatusCode);
        Assert.Equal(HttpStatusCode.Gone, (await other.SendFrom("/sign-in", link + "/password")).StatusCode);
        Assert.Equal(HttpStatusCode.Gone, (await other.SendFrom("/sign-in", link + "/passkey")).StatusCode);
        Assert.Equal(HttpStatusCode.Gone, (await other.SendFrom("/sign-in", link + "/passkey/question")).StatusCode);
        Assert.NotEmpty(await desk.Entries(AuditActs.SignInRefused));
    }

    [Fact]
    public async Task ANewLinkReplacesWhatWasThere()
    {
        await using var desk = await AccountDesk.Open();
        var (id, key, recovery) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        using var browser = desk.Hub.Browser();
        await desk.SetUp(browser, await desk.Invite(id), "maren", "four slow otters swim");
        desk.NextCode();

        using var other = desk.Hub.Browser();
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(other, "maren", AccountDesk.Password, desk.Code(key)));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(other, "maren", "four slow otters swim", recovery[0]));
    }
}
