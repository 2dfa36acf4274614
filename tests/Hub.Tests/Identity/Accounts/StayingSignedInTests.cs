using System.Net;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity.Accounts;

/// <summary>Ending one's other sign-ins leaves the one at hand as it was, and none lasts for ever.</summary>
public sealed class StayingSignedInTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Theory]
    [InlineData("/account/sign-ins/end")]
    [InlineData("/account/password")]
    public async Task TheSignInAtHandIsNeitherYoungerNorProvedAnewAndItsSessionStaysInHand(string act)
    {
        await using var desk = await AccountDesk.Open();
        var (maren, key, recovery) = await desk.Person("Maren Toft", "maren", Roles.Clinician);
        var cookies = new CookieContainer();
        using var browser = desk.Hub.Browser(cookies);
        await AccountDesk.SignIn(browser, "maren", AccountDesk.Password, desk.Code(key));
        var elsewhere = new CookieContainer();
        using var other = desk.Hub.Browser(elsewhere);
        await AccountDesk.SignIn(other, "maren", AccountDesk.Password, recovery[0]);
        desk.Clock.Advance(TimeSpan.FromMinutes(3));
        await using var kit = await desk.Hub.Kit();
        var session = await desk.Hub.Session(maren);
        await using var console = await desk.Hub.Console(cookies);
        await console.Watch(session);
        await console.Must(new TakeControl());
        await using var forgotten = await desk.Hub.Console(elsewhere);
        var ended = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        forgotten.Connection.Closed += _ =>
        {
            ended.TrySetResult();
            return Task.CompletedTask;
        };
        var signIns = desk.Hub.Get<SignIns>();
        var before = signIns.Known(desk.Hub.SignInIdOf(cookies))!;
        var answer = await browser.SendFrom("/account", act, ("current-password", AccountDesk.Password), ("password", "four slow otters swim"));

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        await ended.Task.WaitAsync(TimeSpan.FromSeconds(5), Token);
        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(other));
        var after = signIns.Known(desk.Hub.SignInIdOf(cookies))!;
        Assert.Equal((before.Id, before.BeganAt, before.ConfirmedAt), (after.Id, after.BeganAt, after.ConfirmedAt));

        // Whoever looks after consoles closes nothing of it, and what is asked there is done.
        for (var looks = 0; looks < 5; looks++)
        {
            desk.Clock.Advance(TimeSpan.FromSeconds(2));
            await console.Must(new AddNote("still in hand"));
        }

        Assert.Equal(HubConnectionState.Connected, console.Connection.State);
        Assert.Equal(maren, (await console.Watch(session)).View!.Control.HolderId);
        Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(browser));

        // What was proved before counts for as long as it would have.
        desk.Clock.Advance(SignIns.ProofCounts - TimeSpan.FromMinutes(3));
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.SendFrom("/account", "/account/recovery-codes")).StatusCode);
    }

    [Fact]
    public async Task NoSignInLastsLongerThanSevenDaysHoweverMuchItIsUsed()
    {
        await using var desk = await AccountDesk.Open();
        using var browser = desk.Hub.Browser(await desk.Hub.SignIn(await desk.Hub.Person("Maren Toft", Roles.Clinician)));
        for (var used = TimeSpan.Zero; used + TimeSpan.FromHours(11) < SignIns.Longest; used += TimeSpan.FromHours(11))
        {
            desk.Clock.Advance(TimeSpan.FromHours(11));
            Assert.Equal(HttpStatusCode.OK, await AccountDesk.Me(browser));
        }

        desk.Clock.Advance(TimeSpan.FromHours(11));

        Assert.Equal(HttpStatusCode.Unauthorized, await AccountDesk.Me(browser));
    }
}
