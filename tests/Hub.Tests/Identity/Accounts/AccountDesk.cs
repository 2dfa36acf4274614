using System.Net;
using System.Text.RegularExpressions;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using OtpNet;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.SetUp;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>A hub with a clock in the hand of the test, and people who set their accounts up over HTTP.</summary>
internal sealed partial class AccountDesk : IAsyncDisposable
{
    public const string Password = "nine pale herons walk";

    private AccountDesk(RunningHub hub, FakeTimeProvider clock) => (Hub, Clock) = (hub, clock);

    public RunningHub Hub { get; }

    public FakeTimeProvider Clock { get; }

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public static async Task<AccountDesk> Open(Action<IServiceCollection>? configure = null)
    {
        // Cookies are dated by the hub's clock, and a browser drops those that ended by its own: the hub's runs ahead of nobody's.
        var clock = new FakeTimeProvider(TimeProvider.System.GetUtcNow());
        var hub = await RunningHub.Start(configure: services =>
        {
            services.AddSingleton<TimeProvider>(clock);
            configure?.Invoke(services);
        });
        return new AccountDesk(hub, clock);
    }

    public ValueTask DisposeAsync() => Hub.DisposeAsync();

    /// <summary>A link to set up an account.</summary>
    public async Task<string> Invite(string? personId) => (await Hub.Get<Invitations>().Issue(personId, Token)).Path;

    /// <summary>Sets an account up with a password.</summary>
    /// <returns>Key of the authenticator, and the recovery codes.</returns>
    public async Task<(string Key, IReadOnlyList<string> Recovery)> SetUp(HttpClient browser, string link, string signInName, string password = Password, string? fullName = null)
    {
        var page = await browser.GetStringAsync(link, Token);
        var key = Key(page);
        var answer = await browser.SendFrom(link, link + "/password", ("full-name", fullName ?? string.Empty), ("sign-in-name", signInName), ("password", password), ("sealed", Sealed(page)), ("code", Code(key)));
        var text = await answer.Content.ReadAsStringAsync(Token);
        Assert.True(answer.StatusCode == HttpStatusCode.OK, text);
        return (key, [.. Recovery().Matches(text).Select(found => found.Groups[1].Value)]);
    }

    /// <summary>Enters somebody who has a password.</summary>
    public async Task<(string Id, string Key, IReadOnlyList<string> Recovery)> Person(string name, string signInName, params string[] roles)
    {
        var id = await Hub.Person(name, roles);
        using var browser = Hub.Browser();
        var (key, recovery) = await SetUp(browser, await Invite(id), signInName);

        // The code of the setting up is spent; the next step has a new one.
        NextCode();
        return (id, key, recovery);
    }

    /// <summary>Signs in with what is given.</summary>
    public static async Task<HttpStatusCode> SignIn(HttpClient browser, string name, string password, string code) =>
        (await browser.Send("/sign-in", ("name", name), ("password", password), ("code", code))).StatusCode;

    public void NextCode() => Clock.Advance(TimeSpan.FromSeconds(30));

    /// <summary>What the authenticator shows now.</summary>
    public string Code(string key) => new Totp(Base32Encoding.ToBytes(key)).ComputeTotp(Clock.GetUtcNow().UtcDateTime);

    public static string Key(string page) => KeyText().Match(page).Groups[1].Value.Replace(" ", string.Empty, StringComparison.Ordinal);

    public static string Sealed(string page) => SealedText().Match(page).Groups[1].Value;

    /// <summary>Whether a browser is signed in, and as whom.</summary>
    public static async Task<HttpStatusCode> Me(HttpClient browser) => (await browser.GetAsync("/api/me", Token)).StatusCode;

    public async Task<IReadOnlyList<AuditEntry>> Entries(string act)
    {
        await using var context = await Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        return [.. (await context.AuditEntries.AsNoTracking().Where(row => row.Kind == act).OrderBy(row => row.Sequence).ToListAsync(Token)).Select(row => AuditEntry.Read(row.Kind, row.Payload)!)];
    }

    /// <summary>Entries that are written a moment after the answer.</summary>
    public async Task<IReadOnlyList<AuditEntry>> EntriesWritten(string act)
    {
        IReadOnlyList<AuditEntry> entries;
        do
        {
            entries = await Entries(act);
        }
        while (entries.Count == 0);
        return entries;
    }

    [GeneratedRegex("Key: ([A-Z2-7 ]+)<")]
    private static partial Regex KeyText();

    [GeneratedRegex("name=\"sealed\" value=\"([^\"]+)\"")]
    private static partial Regex SealedText();

    [GeneratedRegex("<li>([A-Z2-7-]{29})</li>")]
    private static partial Regex Recovery();
}
