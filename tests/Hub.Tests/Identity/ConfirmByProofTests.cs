using System.Net;
using System.Net.Http.Json;
using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity;

/// <summary>A proof by password and code lets the same be asked again, and uncovers a console.</summary>
public sealed class ConfirmByProofTests
{
    // RFC 6238, appendix B, SHA-1: secret "12345678901234567890"; at 2000000000 s the code of eight digits is 69279037, so that of six is 279037.
    private const string Key = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ";
    private const string Code = "279037";
    private const string SignInName = "pella";
    private const string Password = "nine grey herons at the weir";

    private readonly FakeTimeProvider _clock = new(DateTimeOffset.FromUnixTimeSeconds(2_000_000_000) - TimeSpan.FromMinutes(20));

    [Fact]
    public async Task PasswordAndCodeConfirmAndUncover()
    {
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(_clock));
        var pella = await hub.Person("Pella Nyström", Roles.Coordinator);
        await SetUp(hub, pella);
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = await hub.SignIn(pella), AllowAutoRedirect = false }) { BaseAddress = hub.Address };
        _clock.Advance(TimeSpan.FromMinutes(20));
        var me = await Me(browser);
        Assert.Equal((new ProofWays(Passkey: false, Password: true), true), (me.Ways, me.Lock!.Locked));

        Assert.Equal(RefusalCodes.NotProven, (await Confirm(browser, new ProofShown { Password = Password, Code = "000000" }))?.Code);
        Assert.Equal(RefusalCodes.NotProven, (await Confirm(browser, new ProofShown()))?.Code);
        Assert.True((await Me(browser)).Lock!.Locked);
        Assert.Null(await Confirm(browser, new ProofShown { Password = Password, Code = Code }));

        Assert.False((await Me(browser)).Lock!.Locked);
        Assert.Equal(HttpStatusCode.NotFound, (await browser.PostAsync("/api/kits/kit-77/revoke", null, TestContext.Current.CancellationToken)).StatusCode);
        _clock.Advance(SignIns.ProofCounts);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PostAsync("/api/kits/kit-77/revoke", null, TestContext.Current.CancellationToken)).StatusCode);

        // Each code is taken once (RFC 6238, 5.2).
        Assert.Equal(RefusalCodes.NotProven, (await Confirm(browser, new ProofShown { Password = Password, Code = Code }))?.Code);
    }

    [Fact]
    public async Task StrangersAtTheSignInPageKeepNobodyFromUncovering()
    {
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(_clock));
        var pella = await hub.Person("Pella Nyström", Roles.Coordinator);
        await SetUp(hub, pella);
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = await hub.SignIn(pella), AllowAutoRedirect = false }) { BaseAddress = hub.Address };
        _clock.Advance(TimeSpan.FromMinutes(20));
        using var stranger = hub.Browser();
        for (var tries = 0; tries < WrongTries.Most; tries++)
        {
            Assert.Equal(HttpStatusCode.Forbidden, (await stranger.Send("/sign-in", ("name", SignInName), ("password", "a wrong password"), ("code", "000000"))).StatusCode);
        }

        Assert.Equal(HttpStatusCode.Forbidden, (await stranger.Send("/sign-in", ("name", SignInName), ("password", Password), ("code", Code))).StatusCode);
        Assert.Null(await Confirm(browser, new ProofShown { Password = Password, Code = Code }));
        Assert.False((await Me(browser)).Lock!.Locked);

        // Nor does uncovering lift the lock that keeps strangers from trying on.
        Assert.Equal(HttpStatusCode.Forbidden, (await stranger.Send("/sign-in", ("name", SignInName), ("password", Password), ("code", Code))).StatusCode);
    }

    [Fact]
    public async Task WrongTriesAtACoveredConsoleEndTooWithALock()
    {
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(_clock));
        var pella = await hub.Person("Pella Nyström", Roles.Coordinator);
        await SetUp(hub, pella);
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = await hub.SignIn(pella), AllowAutoRedirect = false }) { BaseAddress = hub.Address };
        _clock.Advance(TimeSpan.FromMinutes(20));
        for (var tries = 0; tries < WrongTries.Most; tries++)
        {
            Assert.Equal(RefusalCodes.NotProven, (await Confirm(browser, new ProofShown { Password = "a wrong password", Code = "000000" }))?.Code);
        }

        Assert.Equal(RefusalCodes.NotProven, (await Confirm(browser, new ProofShown { Password = Password, Code = Code }))?.Code);
        await using var owner = await hub.Console(await hub.Person("Runa Aske", Roles.Owner));
        var people = (await owner.Connection.InvokeAsync<PeopleReply>(nameof(IConsoleHub.ReadPeople), TestContext.Current.CancellationToken)).People;
        Assert.Equal(PersonState.Locked, Assert.Single(people, person => person.Id == pella).State);
    }

    private static async Task SetUp(RunningHub hub, string personId)
    {
        await using var scope = hub.App.Services.CreateAsyncScope();
        var people = scope.ServiceProvider.GetRequiredService<UserManager<HubPerson>>();
        var person = (await people.FindByIdAsync(personId))!;
        person.AuthenticatorKey = Key;
        person.UserName = SignInName;
        Assert.True((await people.AddPasswordAsync(person, Password)).Succeeded);
    }

    private static async Task<Refusal?> Confirm(HttpClient browser, ProofShown shown)
    {
        var answer = await browser.PostAsJsonAsync("/api/confirm", shown, Protocol.Json, TestContext.Current.CancellationToken);
        return (await answer.Content.ReadFromJsonAsync<ProofReply>(Protocol.Json, TestContext.Current.CancellationToken))!.Refusal;
    }

    private static async Task<Me> Me(HttpClient browser) => (await browser.GetFromJsonAsync<Me>("/api/me", Protocol.Json, TestContext.Current.CancellationToken))!;
}
