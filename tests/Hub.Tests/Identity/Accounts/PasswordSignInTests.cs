using System.Net;
using System.Text.RegularExpressions;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>Name, password and code: each code once, few wrong tries, and nothing told of who exists.</summary>
public sealed partial class PasswordSignInTests
{
    private const string Wrong = "not the right words";

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task ACodeIsTakenOnceAndNoneBeforeItAfterwards()
    {
        await using var desk = await AccountDesk.Open();
        var (id, key, _) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        var earlier = desk.Code(key);
        desk.NextCode();
        var code = desk.Code(key);
        using var browser = desk.Hub.Browser();
        using var other = desk.Hub.Browser();

        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "Maren", AccountDesk.Password, code));
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(browser));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(other, "maren", AccountDesk.Password, code));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(other, "maren", AccountDesk.Password, earlier));
        desk.NextCode();
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(other, "maren", AccountDesk.Password, desk.Code(key)));
        Assert.Contains(await desk.EntriesWritten(AuditActs.ProofRefused), entry => entry.PersonId == id && entry.Refused == RefusalCodes.NotProven);
    }

    [Fact]
    public async Task OfManyAtOnceWithOneCodeOneGetsIn()
    {
        await using var desk = await AccountDesk.Open();
        var (_, key, _) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        var code = desk.Code(key);

        var answers = await Task.WhenAll(Enumerable.Range(0, 4).Select(async _ =>
        {
            using var browser = desk.Hub.Browser();
            return await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, code);
        }));

        Assert.Single(answers, HttpStatusCode.Redirect);
    }

    [Fact]
    public async Task ARecoveryCodeStandsInOnce()
    {
        await using var desk = await AccountDesk.Open();
        var (_, _, recovery) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        using var browser = desk.Hub.Browser();

        // The password is judged first: a wrong one uses no code up.
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", Wrong, recovery[0]));
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, recovery[0].ToLowerInvariant().Replace('-', ' ')));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, recovery[0]));
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, recovery[1]));
    }

    [Fact]
    public async Task FiveWrongTriesLockForAQuarterOfAnHour()
    {
        await using var desk = await AccountDesk.Open();
        var (id, key, _) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        using var browser = desk.Hub.Browser();
        for (var tries = 0; tries < WrongTries.Most; tries++)
        {
            Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", Wrong, desk.Code(key)));
        }

        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
        Assert.Equal(id, Assert.Single(await desk.EntriesWritten(AuditActs.Locked)).PersonId);
        desk.Clock.Advance(WrongTries.Lock - TimeSpan.FromSeconds(1));
        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
        desk.Clock.Advance(TimeSpan.FromSeconds(2));
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
    }

    [Fact]
    public async Task NothingTellsAnUnknownNameFromAKnownLockedOrClosedOne()
    {
        var hasher = new CountingHasher();
        await using var desk = await AccountDesk.Open(services => services.AddSingleton<IPasswordHasher<HubPerson>>(hasher));
        await desk.Person("Maren Toft", "maren", Roles.Clinician);
        await desk.Person("Pella Nyström", "pella", Roles.Coordinator);
        var (ivo, _, _) = await desk.Person("Ivo Lindqvist", "ivo", Roles.Clinician);
        await using (var context = await desk.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.Users.Where(user => user.Id == ivo).ExecuteUpdateAsync(set => set.SetProperty(user => user.ClosedTicks, 1), Token);
        }

        using var browser = desk.Hub.Browser();
        for (var tries = 0; tries < WrongTries.Most; tries++)
        {
            await AccountDesk.SignIn(browser, "pella", Wrong, "123456");
        }

        // The first unknown name of a hub's life makes the hash it is compared with.
        await AccountDesk.SignIn(browser, "nobody", Wrong, "123456");
        var answers = new List<(HttpStatusCode, string, int)>();
        foreach (var name in new[] { "maren", "pella", "ivo", "nobody" })
        {
            var before = hasher.Verified;
            var answer = await browser.Send("/sign-in", ("name", name), ("password", Wrong), ("code", "123456"));
            var text = Secrets().Replace(await answer.Content.ReadAsStringAsync(Token), string.Empty).Replace($"value=\"{name}\"", string.Empty, StringComparison.Ordinal);
            answers.Add((answer.StatusCode, text, hasher.Verified - before));
        }

        Assert.Single(answers.Distinct());
        Assert.Equal(1, answers[0].Item3);
    }

    [Fact]
    public async Task TheAnswerDoesNotWaitForTheAudit()
    {
        await using var desk = await AccountDesk.Open();
        var (_, key, _) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        await using (var context = await desk.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.Database.ExecuteSqlRawAsync("ALTER TABLE audit_entries RENAME TO audit_away", Token);
        }

        // Neither known nor unknown, nor the try that locks, nor those that are only counted: whether an entry is written cannot be told.
        using var browser = desk.Hub.Browser();
        for (var tries = 0; tries <= WrongTries.Most; tries++)
        {
            Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "maren", Wrong, "123456"));
            Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, "nobody", Wrong, "123456"));
        }

        // What lets somebody in is done only when it is recorded.
        desk.Clock.Advance(WrongTries.Lock + TimeSpan.FromSeconds(1));
        Assert.NotEqual(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
        await using (var context = await desk.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.Database.ExecuteSqlRawAsync("ALTER TABLE audit_away RENAME TO audit_entries", Token);
        }

        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
    }

    [Fact]
    public async Task BeyondAFewThatWaitAStrangerIsSentAwayAndNothingIsWritten()
    {
        await using var desk = await AccountDesk.Open();
        var (_, key, _) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        var work = desk.Hub.Get<PasswordWork>();
        using var browser = desk.Hub.Browser();
        var before = await Guards(desk);
        var judged = new[] { await work.Take(stranger: true), await work.Take(stranger: true) };
        var waiting = Enumerable.Range(0, PasswordWork.MostWaiting).Select(_ => work.Take(stranger: true)).ToList();

        foreach (var name in new[] { "maren", "nobody" })
        {
            var answer = await browser.Send("/sign-in", ("name", name), ("password", Wrong), ("code", "123456"));
            Assert.Contains("Too many people", await answer.Content.ReadAsStringAsync(Token), StringComparison.Ordinal);
        }

        Assert.Equal(before, await Guards(desk));
        Assert.DoesNotContain(true, waiting.Select(place => place.IsCompleted));

        // Whoever is signed in waits behind them, however many they are, and gets a place.
        var signedIn = work.Take(stranger: false);
        Assert.All(judged, place => place!.Dispose());
        foreach (var place in waiting)
        {
            (await place)!.Dispose();
        }

        (await signedIn)!.Dispose();
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key)));
    }

    [Fact]
    public async Task AnAuthenticatorsKeyThatCannotBeReadIsSaidInWordsAndARecoveryCodeStandsIn()
    {
        await using var desk = await AccountDesk.Open();
        var (_, _, recovery) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        await using (var context = await desk.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.Users.ExecuteUpdateAsync(set => set.SetProperty(user => user.SealedAuthenticatorKey, "damaged"), Token);
        }

        using var browser = desk.Hub.Browser();
        var answer = await browser.Send("/sign-in", ("name", "maren"), ("password", AccountDesk.Password), ("code", "123456"));

        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Contains("can no longer read the key of your authenticator", await answer.Content.ReadAsStringAsync(Token), StringComparison.Ordinal);
        answer = await browser.Send("/sign-in", ("name", "maren"), ("password", Wrong), ("code", "123456"));
        Assert.DoesNotContain("can no longer read", await answer.Content.ReadAsStringAsync(Token), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Redirect, await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, recovery[0]));
    }

    private static async Task<IReadOnlyList<(string, int, long)>> Guards(AccountDesk desk)
    {
        await using var context = await desk.Hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        return [.. (await context.PersonGuards.AsNoTracking().OrderBy(row => row.PersonId).ToListAsync(Token)).Select(row => (row.PersonId, row.WrongTries, row.LastTryTicks))];
    }

    [Theory]
    [InlineData("", "", "")]
    [InlineData("maren", "", "123456")]
    [InlineData("maren", AccountDesk.Password, "")]
    [InlineData("maren", AccountDesk.Password, "no code")]
    [InlineData("' OR 1=1 --", AccountDesk.Password, "123456")]
    public async Task HalfOfItIsNotEnough(string name, string password, string code)
    {
        await using var desk = await AccountDesk.Open();
        await desk.Person("Maren Toft", "maren", Roles.Clinician);
        using var browser = desk.Hub.Browser();

        Assert.Equal(HttpStatusCode.Forbidden, await AccountDesk.SignIn(browser, name, password, code));
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
    }

    [Fact]
    public async Task TheSignedInPersonCanBeProvenAgainAndNobodyElse()
    {
        await using var desk = await AccountDesk.Open();
        var (maren, key, _) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        var (ivo, _, _) = await desk.Person("Ivo Lindqvist", "ivo", Roles.Clinician);
        await using var scope = desk.Hub.App.Services.CreateAsyncScope();
        var proof = scope.ServiceProvider.GetRequiredService<PersonProof>();

        Assert.Null((await proof.Is(ivo, new PasswordAndCode(AccountDesk.Password, desk.Code(key)))).Person);
        Assert.Equal((maren, PersonProof.ByAuthenticator), await proof.Is(maren, new PasswordAndCode(AccountDesk.Password, desk.Code(key))) is { Person: { } person, Way: { } way } ? (person.Id, way) : default);
        Assert.Equal(RefusalCodes.NotProven, (await proof.Is(maren, null)).Refusal?.Code);
    }

    [GeneratedRegex("value=\"[A-Za-z0-9_-]{40,}\"")]
    private static partial Regex Secrets();

    private sealed class CountingHasher : IPasswordHasher<HubPerson>
    {
        private readonly PasswordHasher<HubPerson> _real = new();
        private int _verified;

        public int Verified => _verified;

        public string HashPassword(HubPerson user, string password) => _real.HashPassword(user, password);

        public PasswordVerificationResult VerifyHashedPassword(HubPerson user, string hashedPassword, string providedPassword)
        {
            Interlocked.Increment(ref _verified);
            return _real.VerifyHashedPassword(user, hashedPassword, providedPassword);
        }
    }
}
