using System.Net;
using System.Net.Http.Json;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity;

/// <summary>The hub covers a console that was left, and silences from under the cover.</summary>
public sealed class ConsoleCoverTests
{
    [Fact]
    public async Task AConsoleThatSaysItWasLeftIsCoveredUnlessSomebodyIsAtAnotherTab()
    {
        var clock = new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(clock));
        using var browser = await Browser(hub, await hub.Person("Maren Toft", Roles.Clinician));
        clock.Advance(TimeSpan.FromMinutes(9));
        await Report(browser, new LockReport(Left: false, ByHand: false));
        clock.Advance(TimeSpan.FromMinutes(1));

        Assert.False((await Report(browser, new LockReport(Left: true, ByHand: false))).Locked);
        Assert.Equal(60, (await Me(browser)).Lock!.IdleForSeconds);
        clock.Advance(TimeSpan.FromMinutes(9));
        Assert.True((await Report(browser, new LockReport(Left: true, ByHand: false))).Locked);

        Assert.True((await Me(browser)).Lock!.Locked);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.GetAsync("/api/board", TestContext.Current.CancellationToken)).StatusCode);

        // Somebody moving the pointer is no proof.
        Assert.True((await Report(browser, new LockReport(Left: false, ByHand: false))).Locked);
    }

    [Fact]
    public async Task AConsoleThatWasShutIsCoveredWhenItIsOpenedAgain()
    {
        var clock = new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(clock));
        using var browser = await Browser(hub, await hub.Person("Maren Toft", Roles.Clinician));
        Assert.False((await Me(browser)).Lock!.Locked);

        clock.Advance(TimeSpan.FromMinutes(11));

        Assert.True((await Me(browser)).Lock!.Locked);
    }

    [Fact]
    public async Task SilenceFromUnderTheCoverPutsTheSessionOnHoldAndNothingElseIsDone()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        using var browser = await Browser(hub, maren);
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        await console.Must(new TakeControl());
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        Assert.True((await Report(browser, new LockReport(Left: true, ByHand: true))).SessionRunning);

        // The session is where it was: covering disturbs nothing.
        await console.Watch(session);
        Assert.Equal(SessionStage.Testing, console.View!.Stage);
        var answer = await browser.PostAsync("/api/silence", null, TestContext.Current.CancellationToken);

        Assert.Null((await answer.Content.ReadFromJsonAsync<SilenceReply>(Protocol.Json, TestContext.Current.CancellationToken))!.Refusal);
        await console.Until(view => view.Stage == SessionStage.Paused);
    }

    [Fact]
    public async Task SilenceFromUnderTheCoverTakesALentTaskBackAndCutsItsStep()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        var ada = await hub.Person("Ada Wiksell", Roles.Assistant);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        using var browser = await Browser(hub, maren);
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        await console.Must(new TakeControl());
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        await console.Must(new LendControl(ada, [AssistantTask.RoomNoise], 10));
        await using var task = await hub.Console(ada);
        var lent = await console.Until(view => view.Control.Loan is not null);
        var step = (await task.Send(new CommandEnvelope(Protocol.Version, CommandId.New(), session, lent.Control.Epoch, lent.Version, lent.HubTime.AddSeconds(30), new OrderStep(new MeasureRoomStep(10), false)))).StepId;
        Assert.NotNull(step);
        Assert.Equal(step, (await kit.NextOrder()).StepId);
        Assert.True((await Report(browser, new LockReport(Left: true, ByHand: true))).SessionRunning);

        var answer = await browser.PostAsync("/api/silence", null, TestContext.Current.CancellationToken);

        Assert.Null((await answer.Content.ReadFromJsonAsync<SilenceReply>(Protocol.Json, TestContext.Current.CancellationToken))!.Refusal);
        var held = await console.Until(view => view.Stage == SessionStage.Paused);
        Assert.Equal(("Maren Toft", null), (held.Control.HolderName, held.Control.Loan));
        Assert.Equal(step, await kit.Cuts.Reader.ReadAsync(TestContext.Current.CancellationToken));
    }

    private static async Task<HttpClient> Browser(RunningHub hub, string person) =>
        new(new HttpClientHandler { CookieContainer = await hub.SignIn(person), AllowAutoRedirect = false }) { BaseAddress = hub.Address };

    private static async Task<LockView> Report(HttpClient browser, LockReport report)
    {
        var answer = await browser.PostAsJsonAsync("/api/lock", report, Protocol.Json, TestContext.Current.CancellationToken);
        return (await answer.Content.ReadFromJsonAsync<LockView>(Protocol.Json, TestContext.Current.CancellationToken))!;
    }

    private static async Task<Me> Me(HttpClient browser) => (await browser.GetFromJsonAsync<Me>("/api/me", Protocol.Json, TestContext.Current.CancellationToken))!;
}
