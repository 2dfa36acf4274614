using System.Net;
using System.Net.Http.Json;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>Control over real connections, with the hub's time in the hand of the test.</summary>
public sealed class ControlOverTheWireTests : IAsyncLifetime
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 10, 0, 0, TimeSpan.Zero));
    private RunningHub _hub = null!;
    private TestConsole _maren = null!;
    private TestConsole _ivo = null!;
    private CookieContainer _marens = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(_time));
        await using var kit = await _hub.Kit();
        var maren = await _hub.Person("Maren Toft", Roles.Clinician);
        var session = await _hub.Session(maren);
        _marens = await _hub.SignIn(maren);
        _maren = await _hub.Console(_marens);
        _ivo = await _hub.Console(await _hub.Person("Ivo Lindqvist", Roles.Clinician));
        await _maren.Watch(session);
        await _ivo.Watch(session);
    }

    public async ValueTask DisposeAsync()
    {
        await _maren.DisposeAsync();
        await _ivo.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task ASilentHolderLosesControlAndARenewingOneKeepsIt()
    {
        await _maren.Must(new TakeControl());
        for (var round = 0; round < 6; round++)
        {
            _time.Advance(TimeSpan.FromSeconds(20));
            await _maren.Connection.InvokeAsync(nameof(IConsoleHub.RenewControl), _maren.View!.SessionId, TestContext.Current.CancellationToken);
        }

        // The renewal of somebody else renews nothing.
        await _ivo.Connection.InvokeAsync(nameof(IConsoleHub.RenewControl), _maren.View!.SessionId, TestContext.Current.CancellationToken);
        await _ivo.Watch(_maren.View.SessionId);
        Assert.Equal("Maren Toft", _ivo.View!.Control.HolderName);

        for (var second = 0; second < 47; second++)
        {
            _time.Advance(TimeSpan.FromSeconds(1));
        }

        var lapsed = await _ivo.Until(view => view.Control.HolderId is null);
        Assert.Equal(SessionStage.Paused, lapsed.Stage);
        Assert.Equal(2, lapsed.Control.Epoch);
        Assert.Contains("lapsed", lapsed.Control.LastChange, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.NotInControl, (await _maren.Ask(new AddNote("still here"))).Refusal!.Code);
        await _ivo.Must(new TakeControl());
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task ACoveredConsoleKeepsWhatWasCommandedThereAndNotWhatWasCommandedElsewhere(bool there)
    {
        await _maren.Must(new TakeControl());
        var maren = _maren.View!.Control.HolderId ?? (await _maren.Watch(_maren.View.SessionId)).View!.Control.HolderId!;
        using var covered = _hub.Browser(there ? _marens : await _hub.SignIn(maren));
        await covered.PostAsJsonAsync("/api/lock", new LockReport(Left: true, ByHand: true), Protocol.Json, TestContext.Current.CancellationToken);
        await _maren.DisposeAsync();

        // The console in command is heard no more; a covered one asks every few seconds.
        for (var second = 0; second < 50; second += 5)
        {
            _time.Advance(TimeSpan.FromSeconds(5));
            Assert.Equal(HttpStatusCode.OK, (await covered.GetAsync("/api/me", TestContext.Current.CancellationToken)).StatusCode);
        }

        if (there)
        {
            // A look of the watch is a second: had it lapsed, it would have by now.
            Assert.NotNull((await _ivo.Watch(_ivo.View!.SessionId)).View!.Control.HolderId);
        }
        else
        {
            var lapsed = await _ivo.Until(view => view.Control.HolderId is null && view.Control.Epoch > 1);
            Assert.Equal(SessionStage.Paused, lapsed.Stage);
        }
    }

    [Fact]
    public async Task ALateCommandOfTheOldHolderIsRefusedAndARepeatedOneDoesNothing()
    {
        await _maren.Must(new TakeControl());
        await _maren.Watch(_maren.View!.SessionId);
        var note = _maren.Envelope(new AddNote("carried out once"));
        Assert.Null((await _maren.Send(note)).Refusal);
        var late = _maren.Envelope(new AddNote("late"));
        await _ivo.Must(new TakeOverControl("she does not answer"));

        Assert.Equal(RefusalCodes.NotInControl, (await _maren.Send(late)).Refusal!.Code);
        var told = await _maren.Until(view => view.Control.HolderName == "Ivo Lindqvist");
        Assert.Equal("Ivo Lindqvist took control over from Maren Toft: she does not answer", told.Control.LastChange);
        Assert.Null((await _maren.Send(note)).Refusal);
        await _maren.Watch(note.SessionId);
        Assert.Equal(["carried out once"], _maren.View!.Notes.Select(line => line.Text));
    }
}
