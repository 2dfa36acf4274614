using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A console as a program: asks, and sees what it is told.</summary>
internal sealed class TestConsole : IAsyncDisposable
{
    private readonly Channel<SessionView> _views = Channel.CreateUnbounded<SessionView>();
    private readonly Channel<BoardView> _boards = Channel.CreateUnbounded<BoardView>();
    private readonly Channel<KitView> _kits = Channel.CreateUnbounded<KitView>();
    private readonly Channel<LiveSignal> _signals = Channel.CreateUnbounded<LiveSignal>();

    private TestConsole(HubConnection connection)
    {
        Connection = connection;
        connection.On<SessionView>(nameof(IConsoleClient.SessionChanged), view => _views.Writer.TryWrite(view));
        connection.On<BoardView>(nameof(IConsoleClient.BoardChanged), board => _boards.Writer.TryWrite(board));
        connection.On<KitView>(nameof(IConsoleClient.KitChanged), view => _kits.Writer.TryWrite(view));
        connection.On<LiveSignal>(nameof(IConsoleClient.Signalled), signal => _signals.Writer.TryWrite(signal));
    }

    public HubConnection Connection { get; }

    public SessionView? View { get; private set; }

    public static async Task<TestConsole> Connect(HubConnection connection)
    {
        var console = new TestConsole(connection);
        await connection.StartAsync(TestContext.Current.CancellationToken);
        return console;
    }

    public Task<BoardView> WatchBoard() => Connection.InvokeAsync<BoardView>(nameof(IConsoleHub.WatchBoard), TestContext.Current.CancellationToken);

    public async Task<WatchReply> Watch(SessionId sessionId, int version = Protocol.Version)
    {
        var reply = await Connection.InvokeAsync<WatchReply>(nameof(IConsoleHub.WatchSession), version, sessionId, TestContext.Current.CancellationToken);
        View = reply.View ?? View;
        return reply;
    }

    public Task<WatchKitReply> WatchKit(KitId kitId) =>
        Connection.InvokeAsync<WatchKitReply>(nameof(IConsoleHub.WatchKit), Protocol.Version, kitId, TestContext.Current.CancellationToken);

    public static KitCommandEnvelope KitEnvelope(KitId kitId, KitCommand command) => new(Protocol.Version, CommandId.New(), kitId, TimeProvider.System.GetUtcNow().AddMinutes(5), command);

    public Task<Receipt> SendKit(KitCommandEnvelope envelope) => Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskKit), envelope, TestContext.Current.CancellationToken);

    public async Task MustKit(KitId kitId, KitCommand command) => Assert.Null((await SendKit(KitEnvelope(kitId, command))).Refusal);

    public async Task<KitView> UntilKit(Func<KitView, bool> holds)
    {
        KitView view;
        do
        {
            view = await _kits.Reader.ReadAsync(TestContext.Current.CancellationToken);
        }
        while (!holds(view));
        return view;
    }

    public Task<Receipt> Send(CommandEnvelope envelope) => Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), envelope, TestContext.Current.CancellationToken);

    /// <summary>Asks as a person who looks at the newest picture.</summary>
    public async Task<Receipt> Ask(SessionCommand command)
    {
        await Watch(View!.SessionId);
        return await Send(Envelope(command));
    }

    public async Task<Receipt> Must(SessionCommand command)
    {
        var receipt = await Ask(command);
        Assert.Null(receipt.Refusal);
        return receipt;
    }

    public CommandEnvelope Envelope(SessionCommand command) =>
        new(Protocol.Version, CommandId.New(), View!.SessionId, View.Control.Epoch, View.Version, View.HubTime.AddSeconds(30), command);

    /// <summary>Waits until the picture it is told has something.</summary>
    public async Task<SessionView> Until(Func<SessionView, bool> holds)
    {
        while (View is null || !holds(View))
        {
            var told = await _views.Reader.ReadAsync(TestContext.Current.CancellationToken);
            View = View is null || told.Version >= View.Version ? told : View;
        }

        return View;
    }

    public async Task<BoardView> UntilBoard(Func<BoardView, bool> holds)
    {
        BoardView board;
        do
        {
            board = await _boards.Reader.ReadAsync(TestContext.Current.CancellationToken);
        }
        while (!holds(board));
        return board;
    }

    public async Task<LiveSignal> NextSignal() => await _signals.Reader.ReadAsync(TestContext.Current.CancellationToken);

    public ValueTask DisposeAsync() => Connection.DisposeAsync();
}
