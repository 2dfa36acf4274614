using System.Net;
using System.Net.Http.Json;
using Microsoft.AspNetCore.Identity;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using OtpNet;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Organisation;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Identity.Organisation;

/// <summary>People of an organisation come in with the account they have there, against an issuer on this machine.</summary>
public sealed class OrganisationSignInTests : IAsyncLifetime
{
    private readonly TempFolder _folder = new();
    private LoopbackIssuer _issuer = null!;

    public async ValueTask InitializeAsync()
    {
        _issuer = await LoopbackIssuer.Start();
        await File.WriteAllTextAsync(_folder.Inside("secret"), LoopbackIssuer.Secret + "\n", TestContext.Current.CancellationToken);
    }

    public async ValueTask DisposeAsync()
    {
        await _issuer.DisposeAsync();
        _folder.Dispose();
    }

    [Theory]
    [InlineData(OrganisationSettings.Entra)]
    [InlineData(OrganisationSettings.OpenIdConnect)]
    public async Task AMappedRoleMakesAnAccountAtTheFirstSignInAndFindsItAtTheNext(string kind)
    {
        await using var hub = await Hub(kind);

        var first = await MeAfter(hub, await Through(hub));
        var second = await MeAfter(hub, await Through(hub));

        Assert.Equal(("Maren Toft", Roles.Clinician), (first!.Name, first.Roles.Single()));
        Assert.Equal(first.Id, second!.Id);
    }

    [Fact]
    public async Task RolesFollowTheIssuerAndEndOpenConsoles()
    {
        await using var hub = await Hub();
        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft", "Hearing.Clinician", "Hearing.Owner");
        var (_, cookies) = await Through(hub);
        await using var console = new HubConnectionBuilder().WithUrl(new Uri(hub.Address, Protocol.ConsoleHubPath), options => options.Cookies = cookies).Build();
        var closed = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        console.Closed += _ =>
        {
            closed.TrySetResult();
            return Task.CompletedTask;
        };
        await console.StartAsync(TestContext.Current.CancellationToken);

        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft", "Hearing.Clinician");
        var after = await MeAfter(hub, await Through(hub));

        Assert.Equal([Roles.Clinician], after!.Roles);
        await closed.Task.WaitAsync(TimeSpan.FromSeconds(5), TestContext.Current.CancellationToken);
        Assert.Null(await MeAfter(hub, (new HttpResponseMessage(), cookies)));
    }

    [Fact]
    public async Task WithoutARoleOfOursNobodyComesInAndAKnownAccountLosesItsRoles()
    {
        await using var hub = await Hub();
        await Through(hub);
        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft", "Something.Else");

        var (answer, cookies) = await Through(hub);

        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Contains("no role", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Null(await MeAfter(hub, (answer, cookies)));
        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken);
        Assert.Empty(context.UserRoles);
        Assert.Contains(await context.AuditEntries.AsNoTracking().ToListAsync(TestContext.Current.CancellationToken), row => row.Kind == AuditActs.SignInRefused);
    }

    [Theory]
    [InlineData("tenant")]
    [InlineData("issuer")]
    [InlineData("audience")]
    [InlineData("expired")]
    [InlineData("nonce")]
    public async Task AForgedTokenLetsNobodyIn(string what)
    {
        await using var hub = await Hub();
        _issuer.Forge = token =>
        {
            switch (what)
            {
                case "tenant":
                    token.Claims["tid"] = "11111111-2222-3333-4444-555555555555";
                    break;
                case "issuer":
                    token.Issuer = new Uri(_issuer.Address, "11111111-2222-3333-4444-555555555555/v2.0").ToString();
                    break;
                case "audience":
                    token.Audience = "another-client";
                    break;
                case "expired":
                    (token.IssuedAt, token.NotBefore, token.Expires) = (token.IssuedAt!.Value.AddHours(-3), token.NotBefore!.Value.AddHours(-3), token.IssuedAt.Value.AddHours(-2));
                    break;
                default:
                    token.Claims["nonce"] = "another";
                    break;
            }
        };

        var (answer, cookies) = await Through(hub);

        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Null(await MeAfter(hub, (answer, cookies)));
        Assert.Equal(0, await Accounts(hub));
    }

    [Fact]
    public async Task AnAnswerIsTakenOnceAndOnlyInTheBrowserThatAsked()
    {
        await using var hub = await Hub();
        var cookies = new CookieContainer();
        using var browser = Browser(hub, cookies);
        var back = await Back(browser);
        using var other = Browser(hub, new CookieContainer());

        Assert.Equal(HttpStatusCode.Forbidden, (await other.GetAsync(back, TestContext.Current.CancellationToken)).StatusCode);
        Assert.Equal(HttpStatusCode.Redirect, (await browser.GetAsync(back, TestContext.Current.CancellationToken)).StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.GetAsync(back, TestContext.Current.CancellationToken)).StatusCode);
    }

    [Fact]
    public async Task TheWayThereCarriesNoSecretAndAChallengeOfPkce()
    {
        await using var hub = await Hub();
        using var browser = Browser(hub, new CookieContainer());

        var there = (await browser.GetAsync("/sign-in/organisation", TestContext.Current.CancellationToken)).Headers.Location!.ToString();

        // RFC 7636, 4.3.
        Assert.Contains("code_challenge_method=S256", there, StringComparison.Ordinal);
        Assert.Contains("response_type=code", there, StringComparison.Ordinal);

        // Whoever is signed in there already shows once more who they are: OpenID Connect Core 1.0, 3.1.2.1.
        Assert.Contains("prompt=login", there, StringComparison.Ordinal);
        Assert.Contains("max_age=0", there, StringComparison.Ordinal);
        Assert.DoesNotContain(Uri.EscapeDataString(LoopbackIssuer.Secret), there, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(OrganisationSettings.Entra, -600)]
    [InlineData(OrganisationSettings.OpenIdConnect, -600)]
    [InlineData(OrganisationSettings.Entra, null)]
    public async Task WhoeverAnIssuerLetsThroughUnaskedFindsTheConsoleCovered(string kind, int? seconds)
    {
        await using var hub = await Hub(kind);
        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft", "Hearing.Owner");
        var asked = await Through(hub);
        Assert.False((await MeAfter(hub, asked))!.Lock!.Locked);
        Assert.Equal(HttpStatusCode.NotFound, await Revoke(hub, asked.Cookies));

        _issuer.AuthenticatedAt = () => seconds is { } ago ? TimeProvider.System.GetUtcNow().AddSeconds(ago) : null;
        var unasked = await Through(hub);

        Assert.True((await MeAfter(hub, unasked))!.Lock!.Locked);
        Assert.Equal(HttpStatusCode.Forbidden, await Revoke(hub, unasked.Cookies));
        using var browser = Browser(hub, unasked.Cookies);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.GetAsync("/api/board", TestContext.Current.CancellationToken)).StatusCode);
    }

    [Fact]
    public async Task ComingInAnewEndsTheSignInThisBrowserHad()
    {
        await using var hub = await Hub();
        var (_, cookies) = await Through(hub);
        using var browser = Browser(hub, cookies);
        var back = await Back(browser);

        // As a browser does: the strict cookie is not sent when another site's page leads back (RFC 6265bis, 5.2).
        var lax = new CookieContainer();
        foreach (var cookie in cookies.GetCookies(hub.Address).Where(cookie => cookie.Name != "telehearing"))
        {
            lax.Add(hub.Address, cookie);
        }

        using var leading = Browser(hub, lax);
        Assert.Equal(HttpStatusCode.Redirect, (await leading.GetAsync(back, TestContext.Current.CancellationToken)).StatusCode);

        Assert.NotNull(await MeAfter(hub, (new HttpResponseMessage(), lax)));
        Assert.Null(await MeAfter(hub, (new HttpResponseMessage(), cookies)));
    }

    [Fact]
    public async Task AnAccountOfTheOrganisationComesInFromThereAlone()
    {
        await using var hub = await Hub();
        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft", "Hearing.Owner");
        var signedIn = await Through(hub);
        var me = await MeAfter(hub, signedIn);
        const string password = "nine grey herons at the weir";
        var key = AuthenticatorCode.NewKey();
        await using (var scope = hub.App.Services.CreateAsyncScope())
        {
            var people = scope.ServiceProvider.GetRequiredService<UserManager<HubPerson>>();
            var person = (await people.FindByIdAsync(me!.Id))!;
            (person.UserName, person.AuthenticatorKey) = ("maren", key);
            Assert.True((await people.AddPasswordAsync(person, password)).Succeeded);
        }

        // Setting a password ended the sign-in, as it does.
        signedIn = await Through(hub);
        using var browser = Browser(hub, new CookieContainer());
        var answer = await browser.Send("/sign-in", ("name", "maren"), ("password", password), ("code", Code(0)));
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Contains("through your organisation", await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Unauthorized, (await browser.GetAsync("/api/me", TestContext.Current.CancellationToken)).StatusCode);

        // Nor by a link, old or new; but at a console that is open it proves who sits there.
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.Send(await hub.Get<SignInLinks>().Issue(me.Id, TestContext.Current.CancellationToken))).StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, (await browser.GetAsync("/api/me", TestContext.Current.CancellationToken)).StatusCode);
        using var console = Browser(hub, signedIn.Cookies);
        var proof = await console.PostAsJsonAsync("/api/confirm", new ProofShown { Password = password, Code = Code(1) }, Protocol.Json, TestContext.Current.CancellationToken);
        Assert.Null((await proof.Content.ReadFromJsonAsync<ProofReply>(Protocol.Json, TestContext.Current.CancellationToken))!.Refusal);

        string Code(int steps) => new Totp(Base32Encoding.ToBytes(key)).ComputeTotp(TimeProvider.System.GetUtcNow().UtcDateTime.AddSeconds(30 * steps));
    }

    [Fact]
    public async Task RolesThatAreSetStandInTheAuditWithTheAccount()
    {
        await using var hub = await Hub();
        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft", "Hearing.Clinician", "Hearing.Owner");
        var me = await MeAfter(hub, await Through(hub));
        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft", "Something.Else");
        await Through(hub);

        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken);
        var entries = await context.AuditEntries.AsNoTracking().Where(row => row.Kind == AuditActs.RolesSet).OrderBy(row => row.Sequence).ToListAsync(TestContext.Current.CancellationToken);
        Assert.Equal(
            [$"person {me!.Id}|roles clinician, owner", $"person {me.Id}|no role"],
            entries.Select(row => string.Join('|', AuditEntry.Read(row.Kind, row.Payload)!.About)));
        Assert.True(HashChain.Verify(await context.AuditEntries.AsNoTracking().OrderBy(row => row.Sequence).ToListAsync(TestContext.Current.CancellationToken), (await context.AuditHeads.SingleAsync(TestContext.Current.CancellationToken)).Entries).Valid);
    }

    [Fact]
    public async Task AnArrivalThatCannotBeRecordedChangesNothing()
    {
        await using var hub = await Hub();
        await Through(hub);
        await using (var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken))
        {
            await context.Database.ExecuteSqlRawAsync("ALTER TABLE audit_entries RENAME TO audit_away", TestContext.Current.CancellationToken);
        }

        _issuer.Claims = LoopbackIssuer.Entra("oid-1", "Maren Toft-Aas", "Hearing.Owner");
        var (answer, cookies) = await Through(hub);

        Assert.Equal(HttpStatusCode.ServiceUnavailable, answer.StatusCode);
        Assert.Null(await MeAfter(hub, (answer, cookies)));
        await using var after = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken);
        Assert.Equal("Maren Toft", (await after.Users.AsNoTracking().SingleAsync(TestContext.Current.CancellationToken)).DisplayName);
        Assert.Equal([Roles.Clinician], await after.UserRoles.Join(after.Roles, held => held.RoleId, role => role.Id, (_, role) => role.Name).ToListAsync(TestContext.Current.CancellationToken));
    }

    [Theory]
    [InlineData(OrganisationSettings.Entra)]
    [InlineData(OrganisationSettings.OpenIdConnect)]
    public async Task WordsOfAnIssuerOrAStrangerAreInNoLog(string kind)
    {
        const string mark = "Ottilie-Brandvold-was-here";
        using var folder = new TempFolder();
        await using (var hub = await Hub(kind, folder))
        {
            using var browser = Browser(hub, new CookieContainer());
            var there = (await browser.GetAsync("/sign-in/organisation", TestContext.Current.CancellationToken)).Headers.Location!;
            var state = there.Query.TrimStart('?').Split('&').Single(part => part.StartsWith("state=", StringComparison.Ordinal));
            foreach (var words in new[] { $"{state}&error=access_denied&error_description={mark}", $"{state}&error={mark}", $"state=none&error=server_error&error_description={mark}", $"error={mark}", $"code={mark}&state={mark}" })
            {
                Assert.Equal(HttpStatusCode.Forbidden, (await browser.GetAsync(OrganisationRegistration.BackPath + "?" + words, TestContext.Current.CancellationToken)).StatusCode);
            }
        }

        var log = string.Concat(Directory.GetFiles(Path.Combine(folder.Path, "logs")).Select(File.ReadAllText));
        Assert.Contains("A sign-in through the organisation was refused", log, StringComparison.Ordinal);
        Assert.DoesNotContain(mark, log, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task AHubWithoutAnOrganisationSaysSoAndLocalAccountsStayBesideOne()
    {
        await using var without = await RunningHub.Start();
        using var browser = Browser(without, new CookieContainer());
        Assert.Equal(HttpStatusCode.NotFound, (await browser.GetAsync("/sign-in/organisation", TestContext.Current.CancellationToken)).StatusCode);

        await using var hub = await Hub();
        var local = await hub.SignIn(await hub.Person("Solveig Aas", Roles.Owner));
        Assert.Equal("Solveig Aas", (await MeAfter(hub, (new HttpResponseMessage(), local)))!.Name);
    }

    [Fact]
    public void WrongSettingsAreSaidInWords()
    {
        var settings = new HubSettings { DataFolder = "data", Organisation = new OrganisationSettings { Kind = OrganisationSettings.Entra, Tenant = "common", Issuer = "http://elsewhere.example", Roles = new Dictionary<string, string> { ["a"] = "king" } } };

        var said = string.Join(' ', settings.Faults());
        Assert.All(["tenant", "https://", "clientId", "king"], part => Assert.Contains(part, said, StringComparison.Ordinal));
        File.WriteAllText(_folder.Inside("org.json"), """{ "kind": "entra", "tennant": "x" }""");
        Assert.Contains("tennant", Assert.Throws<ArgumentException>(() => OrganisationSettings.Read(_folder.Inside("org.json"))).Message, StringComparison.Ordinal);
    }

    private Task<RunningHub> Hub(string kind = OrganisationSettings.Entra, TempFolder? folder = null) => RunningHub.Start(folder, change: settings => settings with
    {
        Organisation = new OrganisationSettings
        {
            Kind = kind,
            Tenant = LoopbackIssuer.Tenant,
            Issuer = kind == OrganisationSettings.Entra ? _issuer.Address.ToString() : new Uri(_issuer.Address, $"{LoopbackIssuer.Tenant}/v2.0").ToString(),
            ClientId = LoopbackIssuer.ClientId,
            SecretFile = _folder.Inside("secret"),
            Roles = new Dictionary<string, string> { ["Hearing.Clinician"] = Roles.Clinician, ["Hearing.Owner"] = Roles.Owner },
        },
    });

    /// <summary>Goes to the issuer and back as a browser does.</summary>
    private async Task<(HttpResponseMessage Answer, CookieContainer Cookies)> Through(RunningHub hub)
    {
        var cookies = new CookieContainer();
        using var browser = Browser(hub, cookies);
        return (await browser.GetAsync(await Back(browser), TestContext.Current.CancellationToken), cookies);
    }

    private static async Task<Uri> Back(HttpClient browser)
    {
        var there = await browser.GetAsync("/sign-in/organisation", TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Redirect, there.StatusCode);
        var back = await browser.GetAsync(there.Headers.Location, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Redirect, back.StatusCode);
        return back.Headers.Location!;
    }

    private static async Task<Me?> MeAfter(RunningHub hub, (HttpResponseMessage Answer, CookieContainer Cookies) signedIn)
    {
        using var browser = Browser(hub, signedIn.Cookies);
        var answer = await browser.GetAsync("/api/me", TestContext.Current.CancellationToken);
        return answer.StatusCode == HttpStatusCode.OK ? await answer.Content.ReadFromJsonAsync<Me>(Protocol.Json, TestContext.Current.CancellationToken) : null;
    }

    /// <summary>Something that hurts at a desk left open.</summary>
    private static async Task<HttpStatusCode> Revoke(RunningHub hub, CookieContainer cookies)
    {
        using var browser = Browser(hub, cookies);
        return (await browser.PostAsync("/api/kits/kit-77/revoke", null, TestContext.Current.CancellationToken)).StatusCode;
    }

    private static async Task<int> Accounts(RunningHub hub)
    {
        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken);
        return await context.Users.CountAsync(TestContext.Current.CancellationToken);
    }

    private static HttpClient Browser(RunningHub hub, CookieContainer cookies) => new(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = hub.Address };
}
