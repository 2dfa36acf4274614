using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Data.Sqlite;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>Consoles over real sockets.</summary>
public sealed class ConsoleHubTests : IAsyncLifetime
{
    private RunningHub _hub = null!;
    private TestConsole _console = null!;
    private SessionId _session;
    private string _clinician = null!;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _clinician = await _hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await _hub.Kit();
        _session = await _hub.Session(_clinician);
        _console = await _hub.Console(_clinician);
        await _console.Watch(_session);
    }

    public async ValueTask DisposeAsync()
    {
        await _console.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task TheSameCommandTwiceIsCarriedOutOnceWithOneReceipt()
    {
        await _console.Must(new TakeControl());
        await _console.Watch(_session);
        var note = _console.Envelope(new AddNote("once"));

        var receipts = await Task.WhenAll(Enumerable.Range(0, 6).Select(_ => _console.Send(note)));

        Assert.Single(receipts.Distinct());
        Assert.Null(receipts[0].Refusal);
        await _console.Watch(_session);
        Assert.Single(_console.View!.Notes);
        Assert.Equal(RefusalCodes.Duplicate, (await _console.Send(note with { Command = new AddNote("other") })).Refusal!.Code);
    }

    [Fact]
    public async Task ARefusedCommandCanBeAskedAgainUnderItsId()
    {
        var take = _console.Envelope(new AddNote("early"));
        Assert.Equal(RefusalCodes.NotInControl, (await _console.Send(take)).Refusal!.Code);
        await _console.Must(new TakeControl());
        await _console.Watch(_session);

        Assert.Null((await _console.Send(take with { ControlEpoch = 1, ExpectedVersion = _console.View!.Version })).Refusal);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    [InlineData(1e300)]
    public async Task ANumberThatIsNoneIsRefusedWithASentence(double level)
    {
        var receipt = await _console.Send(_console.Envelope(new OrderStep(new PresentToneStep(Ear.Left, 1000, level, ToneShape.Steady, 1000), false)));

        Assert.Equal(RefusalCodes.Invalid, receipt.Refusal!.Code);
        Assert.Contains("level", receipt.Refusal.Sentence, StringComparison.Ordinal);
        await _console.Must(new TakeControl());
    }

    [Fact]
    public async Task EverythingThatIsWrongIsSaidAtOnce()
    {
        var receipt = await _console.Send(_console.Envelope(new OrderStep(new PresentToneStep((Ear)9, 1234, double.NaN, ToneShape.Steady, 5), false)));

        Assert.Equal(RefusalCodes.Invalid, receipt.Refusal!.Code);
        Assert.All(["ear", "1234 Hz", "level", "duration"], word => Assert.Contains(word, receipt.Refusal.Sentence, StringComparison.Ordinal));
    }

    [Fact]
    public async Task AnotherProtocolVersionIsRefusedNotMisread()
    {
        Assert.Equal(RefusalCodes.ProtocolVersion, (await _console.Watch(_session, version: 99)).Refusal!.Code);
        Assert.Equal(RefusalCodes.ProtocolVersion, (await _console.Send(_console.Envelope(new TakeControl()) with { ProtocolVersion = 0 })).Refusal!.Code);
    }

    [Fact]
    public async Task AnUnknownSessionIsRefused()
    {
        Assert.Equal(RefusalCodes.SessionUnknown, (await _console.Watch(SessionId.New())).Refusal!.Code);
        Assert.Equal(RefusalCodes.SessionUnknown, (await _console.Send(_console.Envelope(new TakeControl()) with { SessionId = SessionId.New() })).Refusal!.Code);
    }

    [Fact]
    public async Task AMessageThatCannotBeReadHarmsNeitherSessionNorConnection()
    {
        await Assert.ThrowsAsync<HubException>(() => _console.Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), new { command = new { command = "no-such-thing" } }, TestContext.Current.CancellationToken));
        Assert.Equal(RefusalCodes.Invalid, (await _console.Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), null, TestContext.Current.CancellationToken)).Refusal!.Code);

        await _console.Must(new TakeControl());
    }

    [Fact]
    public async Task TwoConsolesSeeTheSameAndTheSecondClinicianCannotCommand()
    {
        var ivo = await _hub.Person("Ivo Lindqvist", Roles.Clinician);
        await using var second = await _hub.Console(ivo);
        await second.Watch(_session);
        await _console.Must(new TakeControl());

        var seen = await second.Until(view => view.Control.HolderName == "Maren Toft");
        Assert.Equal(RefusalCodes.ControlHeld, (await second.Ask(new TakeControl())).Refusal!.Code);
        Assert.Equal(RefusalCodes.NotInControl, (await second.Ask(new Hold(null))).Refusal!.Code);
        await _console.Must(new ReleaseControl());
        Assert.Equal(seen.Control.Epoch + 1, (await AfterTaking(second)).Control.Epoch);
        Assert.Equal(RefusalCodes.NotInControl, (await _console.Ask(new Hold(null))).Refusal!.Code);
    }

    [Fact]
    public async Task ADamagedLogMakesTheSessionReadOnly()
    {
        await _console.Must(new TakeControl());
        await _console.Must(new AddNote("true"));
        await using (var connection = new SqliteConnection($"Data Source={Path.Combine(_hub.DataFolder, StorageRegistration.FileName)}"))
        {
            await connection.OpenAsync(TestContext.Current.CancellationToken);
            await using var command = connection.CreateCommand();
            command.CommandText = "UPDATE session_events SET Payload = substr(Payload, 1, length(Payload) - 1) WHERE Kind = 'note.added'";
            Assert.Equal(1, await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken));
        }

        Assert.Equal(RefusalCodes.SessionDamaged, (await _console.Ask(new AddNote("more"))).Refusal!.Code);
        Assert.Equal(new IntegrityView(false, 4), _console.View!.Integrity);
        Assert.All(_console.View.Moves, move => Assert.False(move.Allowed));
    }

    [Fact]
    public async Task ACoordinatorSeesKitsAndNoSession()
    {
        var pella = await _hub.Person("Pella Nyström", Roles.Coordinator);
        await using var coordinator = await _hub.Console(pella);

        var board = await coordinator.WatchBoard();

        Assert.Empty(board.Sessions);
        Assert.Single(board.Kits);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await coordinator.Watch(_session)).Refusal!.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await coordinator.Send(_console.Envelope(new TakeControl()))).Refusal!.Code);
        Assert.Single((await _console.WatchBoard()).Sessions);
    }

    private async Task<SessionView> AfterTaking(TestConsole console)
    {
        await console.Must(new TakeControl());
        await console.Watch(_session);
        return console.View!;
    }
}
