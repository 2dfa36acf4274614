using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>An assistant connects, sees the session of which a task is lent to them and nothing else, and loses it when it ends; handoffs wait on the start page.</summary>
public sealed class LentTaskTests : IAsyncLifetime
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 10, 0, 0, TimeSpan.Zero));
    private RunningHub _hub = null!;
    private TestConsole _maren = null!;
    private TestConsole _ada = null!;
    private string _adaId = null!;
    private SessionId _session;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(_time));
        await using var kit = await _hub.Kit();
        var maren = await _hub.Person("Maren Toft", Roles.Clinician);
        _adaId = await _hub.Person("Ada Wiksell", Roles.Assistant);
        _session = await _hub.Session(maren);
        _maren = await _hub.Console(maren);
        _ada = await _hub.Console(_adaId);
        await _maren.Watch(_session);
        await _maren.Must(new TakeControl());
        await _hub.Happened(_session, Samples.AssistantAgreed);
    }

    public async ValueTask DisposeAsync()
    {
        await _maren.DisposeAsync();
        await _ada.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task AnAssistantSeesNothingUntilATaskIsLentAndNothingAfterIt()
    {
        Assert.Equal(RefusalCodes.ControlNotLent, (await WatchTask()).Refusal!.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await _ada.Watch(_session)).Refusal!.Code);
        var board = await _ada.WatchBoard();
        Assert.Empty(board.Sessions);
        Assert.Empty(board.Kits);
        await _maren.Must(new AddNote("nothing for others"));

        await _maren.Must(new LendControl(_adaId, [AssistantTask.Coach], 10));

        var listed = await _ada.UntilBoard(told => told.Tasks.Count == 1);
        Assert.Equal((_session, string.Empty), (listed.Tasks[0].SessionId, listed.Tasks[0].Person.Referral));
        var picture = (await WatchTask()).View!;
        Assert.Equal(("Ottilie Brandvold", string.Empty), (picture.Person.Name, picture.Person.Referral));
        Assert.Empty(picture.Notes);
        Assert.Empty(picture.Timeline);
        Assert.Empty(picture.Needs);
        Assert.Equal(["add-note", "cut-step", "give-back-control", "hold", "say-on-screen"], picture.Moves.Select(move => move.Name).Order(StringComparer.Ordinal));
        Assert.Null((await Ask(picture, new SayOnScreen("Please sit still."))).Refusal);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Ask(picture, new Advance())).Refusal!.Code);
        Assert.Equal(RefusalCodes.BeyondTask, (await Ask(picture, new OrderStep(new MeasureRoomStep(10), false))).Refusal!.Code);

        await _maren.Must(new TakeBackControl());

        var over = await _ada.Until(view => view.Control.HolderId is null);
        Assert.Equal((string.Empty, string.Empty), (over.Person.Reference, over.Place));
        Assert.Contains("taken back", over.Control.LastChange, StringComparison.Ordinal);
        Assert.Empty(over.Moves);
        Assert.Empty((await _ada.UntilBoard(told => told.Tasks.Count == 0)).Kits);
        Assert.Equal(RefusalCodes.ControlNotLent, (await WatchTask()).Refusal!.Code);
    }

    [Fact]
    public async Task ATaskThatNeedsASignOffIsNotLentWithoutOne()
    {
        var refused = await _maren.Ask(new LendControl(_adaId, [AssistantTask.RoomNoise, AssistantTask.EarPicture], 10));

        Assert.Equal(RefusalCodes.PersonUnfit, refused.Refusal!.Code);
        Assert.Equal("Ada Wiksell has no sign-off in date to take ear pictures.", refused.Refusal.Sentence);
        var people = (await _maren.Connection.InvokeAsync<ColleaguesReply>(nameof(IConsoleHub.ReadColleagues), TestContext.Current.CancellationToken)).People;
        Assert.Equal([AssistantTask.RoomNoise, AssistantTask.PlaceEarphones, AssistantTask.SideProof, AssistantTask.Coach], people.Single(person => person.PersonId == _adaId).MayBeLent);
        Assert.True(people.Single(person => person.Name == "Maren Toft").Clinician);
    }

    [Fact]
    public async Task ALoanEndsByItselfAfterItsMinutes()
    {
        await _maren.Must(new LendControl(_adaId, [AssistantTask.RoomNoise], 1));
        for (var second = 0; second < 61; second++)
        {
            _time.Advance(TimeSpan.FromSeconds(1));
            if (second % 10 == 0)
            {
                await Renew(_ada);
                await Renew(_maren);
            }
        }

        var back = await _maren.Until(view => view.Control is { HolderName: "Maren Toft", Loan: null, Epoch: 3 });
        Assert.Contains("the time of Ada Wiksell's task is over", back.Control.LastChange, StringComparison.Ordinal);
        Assert.Equal(SessionStage.Connecting, back.Stage);
    }

    [Fact]
    public async Task ALoanEndsInAHoldWhenTheConsoleOfWhoLentItIsGoneAlthoughTheAssistantIsThere()
    {
        await _maren.Must(new LendControl(_adaId, [AssistantTask.RoomNoise], 60));
        for (var second = 0; second < 47; second++)
        {
            _time.Advance(TimeSpan.FromSeconds(1));
            if (second % 10 == 0)
            {
                await Renew(_ada);
            }
        }

        var lapsed = await _maren.Until(view => view.Control.HolderId is null);
        Assert.Equal(SessionStage.Paused, lapsed.Stage);
        Assert.Equal("Control lapsed: the console of Maren Toft was not heard any more. The session is on hold.", lapsed.Control.LastChange);
    }

    [Fact]
    public async Task WhoseAccountIsClosedIsNoColleagueAnyMore()
    {
        await using (var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken))
        {
            await context.Users.Where(person => person.Id == _adaId).ExecuteUpdateAsync(change => change.SetProperty(person => person.ClosedTicks, 1L), TestContext.Current.CancellationToken);
        }

        var people = (await _maren.Connection.InvokeAsync<ColleaguesReply>(nameof(IConsoleHub.ReadColleagues), TestContext.Current.CancellationToken)).People;
        Assert.Equal(["Maren Toft"], people.Select(person => person.Name));
        Assert.Equal("There is no such person.", (await _maren.Ask(new LendControl(_adaId, [AssistantTask.RoomNoise], 10))).Refusal!.Sentence);
        Assert.DoesNotContain((await PracticePeople.Read(_hub.Get<IDbContextFactory<HubContext>>(), TestContext.Current.CancellationToken)).All, one => one.Person.PersonId == _adaId);
    }

    [Fact]
    public async Task ACoordinatorWhoAssistsSeesTheirTasksBesideTheKits()
    {
        var both = await _hub.Person("Iris Hale", Roles.Coordinator, Roles.Assistant);
        await using var iris = await _hub.Console(both);
        await iris.WatchBoard();
        await _maren.Must(new LendControl(both, [AssistantTask.Coach], 10));

        var board = await iris.UntilBoard(told => told.Tasks.Count == 1);

        Assert.Empty(board.Sessions);
        Assert.Equal(["kit-01"], board.Kits.Select(kit => kit.KitId.Value));
    }

    private Task Renew(TestConsole console) => console.Connection.InvokeAsync(nameof(IConsoleHub.RenewControl), _session, TestContext.Current.CancellationToken);

    private Task<WatchReply> WatchTask() => _ada.Connection.InvokeAsync<WatchReply>(nameof(IConsoleHub.WatchTask), Protocol.Version, _session, TestContext.Current.CancellationToken);

    private Task<Receipt> Ask(SessionView picture, SessionCommand command) =>
        _ada.Send(new CommandEnvelope(Protocol.Version, CommandId.New(), _session, picture.Control.Epoch, picture.Version, picture.HubTime.AddSeconds(30), command));
}
