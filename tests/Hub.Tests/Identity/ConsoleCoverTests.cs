using System.Net;
using System.Net.Http.Json;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Storage;
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
    public async Task AConsoleThatWasLeftIsRefusedWhateverItAsksAndHowever()
    {
        var clock = new FakeTimeProvider(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(clock));
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        var cookies = await hub.SignIn(maren);
        await using var console = await hub.Console(cookies);
        await console.Watch(session);
        using var browser = hub.Browser(cookies);
        clock.Advance(TimeSpan.FromMinutes(10) + TimeSpan.FromSeconds(1));

        // Nobody has asked where the cover stands.
        Assert.Equal(RefusalCodes.Locked, (await console.Watch(session)).Refusal?.Code);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.GetAsync($"/api/sessions/{session}/record?to=clinic", TestContext.Current.CancellationToken)).StatusCode);
        Assert.True((await Report(browser, new LockReport(Left: false, ByHand: false))).Locked);

        // And it stands on the disk, for whoever starts the hub again.
        var kept = false;
        while (!kept)
        {
            clock.Advance(TimeSpan.FromSeconds(2));
            await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken);
            kept = (await context.SignIns.AsNoTracking().SingleAsync(TestContext.Current.CancellationToken)).Locked;
        }
    }

    [Fact]
    public async Task ATabCoveredAtAnotherIsToldNothingUntilItIsUncoveredAndThenTheNewest()
    {
        await using var hub = await RunningHub.Start();
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        var cookies = await hub.SignIn(maren);
        using var oneTab = hub.Browser(cookies);
        await using var otherTab = await hub.Console(cookies);
        await otherTab.Watch(session);
        await using var ivo = await hub.Console(await hub.Person("Ivo Lindqvist", Roles.Clinician));
        await ivo.Watch(session);
        await ivo.Must(new TakeControl());
        await otherTab.Until(view => view.Control.HolderName == "Ivo Lindqvist");

        Assert.True((await Report(oneTab, new LockReport(Left: true, ByHand: true))).Locked);
        await ivo.Must(new AddNote("first"));
        await ivo.Until(view => view.Notes.Count == 1);
        await ivo.Must(new AddNote("second"));
        await ivo.Until(view => view.Notes.Count == 2);
        await hub.Get<SignIns>().Confirm(hub.SignInIdOf(cookies));

        var next = await otherTab.Until(view => view.Notes.Count > 0);
        Assert.Equal(2, next.Notes.Count);
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
