using System.Net;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity;

/// <summary>A console is closed within five seconds once its person may no longer be there.</summary>
public sealed class LivePeopleTests
{
    private static readonly TimeSpan _limit = TimeSpan.FromSeconds(5);

    [Fact]
    public async Task SigningOutClosesTheConsolesOfThatBrowserAndNoOthers()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        var here = await hub.SignIn(maren);
        await using var ends = await Connected(hub, here);
        await using var stays = await Connected(hub, await hub.SignIn(maren));
        var closed = Closed(ends);

        using var browser = Browser(hub, here);
        Assert.Equal(HttpStatusCode.OK, (await browser.PostAsync("/sign-out", null, TestContext.Current.CancellationToken)).StatusCode);

        await closed.WaitAsync(_limit, TestContext.Current.CancellationToken);
        Assert.Equal(HubConnectionState.Connected, stays.State);
    }

    [Fact]
    public async Task AConnectionThatIsCutIsClosedAloneAndMayComeBack()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        var cookies = await hub.SignIn(maren);
        await using var ends = await Connected(hub, cookies);
        var live = hub.Get<LivePeople>();
        var stalled = live.ByConnection.Single().Key;
        await using var stays = await Connected(hub, cookies);
        var closed = Closed(ends);

        live.Cut("no such connection");
        live.Cut(stalled);

        await closed.WaitAsync(_limit, TestContext.Current.CancellationToken);
        Assert.Equal(HubConnectionState.Connected, stays.State);
        await using var back = await Connected(hub, cookies);
        Assert.Equal(HubConnectionState.Connected, back.State);
    }

    [Fact]
    public async Task ACookieKeptFromBeforeSigningOutOpensNothing()
    {
        await using var hub = await RunningHub.Start();
        var cookies = await hub.SignIn(await hub.Person("Maren Toft", Roles.Clinician));
        var kept = new CookieContainer();
        kept.Add(hub.Address, cookies.GetCookies(hub.Address));
        using var browser = Browser(hub, cookies);
        using var thief = Browser(hub, kept);
        Assert.Equal(HttpStatusCode.OK, (await thief.GetAsync("/api/me", TestContext.Current.CancellationToken)).StatusCode);

        await browser.PostAsync("/sign-out", null, TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.Unauthorized, (await thief.GetAsync("/api/me", TestContext.Current.CancellationToken)).StatusCode);
    }

    [Fact]
    public async Task EndingAPersonClosesAllTheirConsoles()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var one = await Connected(hub, await hub.SignIn(maren));
        await using var two = await Connected(hub, await hub.SignIn(maren));
        await using var other = await Connected(hub, await hub.SignIn(await hub.Person("Ivo Lindqvist", Roles.Clinician)));
        var closed = Task.WhenAll(Closed(one), Closed(two));

        hub.Get<LivePeople>().End(maren);

        await closed.WaitAsync(_limit, TestContext.Current.CancellationToken);
        Assert.Equal(HubConnectionState.Connected, other.State);
    }

    [Theory]
    [InlineData("role")]
    [InlineData("stamp")]
    [InlineData("gone")]
    public async Task AChangedAccountEndsTheConsolesThatItOpened(string change)
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician, Roles.Owner);
        var cookies = await hub.SignIn(maren);
        await using var console = await Connected(hub, cookies);
        var closed = Closed(console);

        // As another program on the same data would: nothing of the hub is told.
        await using (var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken))
        {
            await (change switch
            {
                "role" => context.UserRoles.Where(held => context.Roles.Any(role => role.Id == held.RoleId && role.Name == Roles.Owner)).ExecuteDeleteAsync(TestContext.Current.CancellationToken),
                "stamp" => context.Users.ExecuteUpdateAsync(set => set.SetProperty(user => user.SecurityStamp, "another"), TestContext.Current.CancellationToken),
                _ => context.Users.ExecuteDeleteAsync(TestContext.Current.CancellationToken),
            });
        }

        await closed.WaitAsync(_limit, TestContext.Current.CancellationToken);

        // With a role taken away the browser stays signed in, with the roles left; otherwise it is out.
        using var browser = Browser(hub, cookies);
        var answer = await browser.GetAsync("/api/me", TestContext.Current.CancellationToken);
        Assert.Equal(change == "role" ? HttpStatusCode.OK : HttpStatusCode.Unauthorized, answer.StatusCode);
        Assert.DoesNotContain(Roles.Owner, await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ACookieThatGrowsTooOldEndsItsConsole()
    {
        var clock = new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(clock));
        await using var console = await Connected(hub, await hub.SignIn(await hub.Person("Maren Toft", Roles.Clinician)));
        var closed = Closed(console);

        clock.Advance(TimeSpan.FromHours(12) - TimeSpan.FromSeconds(3));
        Assert.False(closed.IsCompleted);
        clock.Advance(TimeSpan.FromSeconds(5));

        await closed.WaitAsync(_limit, TestContext.Current.CancellationToken);
    }

    private static async Task<HubConnection> Connected(RunningHub hub, CookieContainer cookies)
    {
        var connection = new HubConnectionBuilder()
            .WithUrl(new Uri(hub.Address, Protocol.ConsoleHubPath), options => options.Cookies = cookies)
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .Build();
        await connection.StartAsync(TestContext.Current.CancellationToken);
        await connection.InvokeAsync<BoardView>(nameof(IConsoleHub.WatchBoard), TestContext.Current.CancellationToken);
        return connection;
    }

    private static Task Closed(HubConnection connection)
    {
        var closed = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        connection.Closed += _ =>
        {
            closed.TrySetResult();
            return Task.CompletedTask;
        };
        return closed.Task;
    }

    private static HttpClient Browser(RunningHub hub, CookieContainer cookies) => new(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = hub.Address };
}
