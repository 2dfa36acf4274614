using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>A change that could not be told is told later, and nothing in place of something is refused.</summary>
public sealed class FleetTellingTests
{
    /// <summary>Number of the log line that says that watchers could not be told.</summary>
    private const int NotTold = 3001;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Theory(Timeout = 60_000)]
    [InlineData(true)]
    [InlineData(false)]
    public async Task AChangeThatCouldNotBeToldIsToldWhenTheDiskIsWellAgain(bool ofFleet)
    {
        using var failures = new Failures();
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<ILoggerProvider>(failures));
        await using var kit = await hub.Kit();
        await using var console = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));
        var told = Channel.CreateUnbounded<FleetView>();
        console.Connection.On<FleetView>(nameof(IConsoleClient.FleetChanged), view => told.Writer.TryWrite(view));
        Assert.NotNull((await console.Connection.InvokeAsync<WatchFleetReply>(nameof(IConsoleHub.WatchFleet), Protocol.Version, TestContext.Current.CancellationToken)).View);
        await Run(hub, "ALTER TABLE fleet_facts RENAME TO put_aside");
        if (ofFleet)
        {
            hub.Get<Broadcaster>().FleetChanged();
        }
        else
        {
            hub.Get<Broadcaster>().KitChanged(new KitId("kit-01"));
        }

        await failures.Seen.Reader.ReadAsync(TestContext.Current.CancellationToken);
        var failedAt = TimeProvider.System.GetUtcNow();
        await Run(hub, "ALTER TABLE put_aside RENAME TO fleet_facts");

        // Pictures made before do not count.
        FleetView view;
        do
        {
            view = await told.Reader.ReadAsync(TestContext.Current.CancellationToken);
        }
        while (view.HubTime < failedAt);
        Assert.Equal(0, view.Version);
    }

    [Fact]
    public async Task NothingInPlaceOfSomethingIsRefusedInWords()
    {
        await using var hub = await RunningHub.Start();
        await using var console = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));

        var asked = await console.Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskFleet), null, Token);
        var ofKit = await console.Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskKit), null, Token);
        await using var clinician = await hub.Console(await hub.Person("Maren Toft", Roles.Clinician));
        var ofSession = await clinician.Connection.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), null, Token);
        var empty = await console.Connection.InvokeAsync<Receipt>(
            nameof(IConsoleHub.AskFleet), new FleetCommandEnvelope(Protocol.Version, CommandId.New(), TimeProvider.System.GetUtcNow().AddMinutes(5), null!), Token);
        var considered = await console.Connection.InvokeAsync<LoanChoiceReply>(nameof(IConsoleHub.ConsiderLoan), Protocol.Version, null, Token);
        var planned = new List<FleetPlanProgress>();
        await foreach (var progress in console.Connection.StreamAsync<FleetPlanProgress>(nameof(IConsoleHub.PlanFleet), null, Token))
        {
            planned.Add(progress);
        }

        Assert.All([asked, ofKit, ofSession], receipt => Assert.Equal((RefusalCodes.Invalid, "The command is missing."), (receipt.Refusal!.Code, receipt.Refusal.Sentence)));
        Assert.Equal((RefusalCodes.Invalid, "The command is empty."), (empty.Refusal!.Code, empty.Refusal.Sentence));
        Assert.Equal((RefusalCodes.Invalid, "The loan is missing."), (considered.Refusal!.Code, considered.Refusal.Sentence));
        Assert.Equal((RefusalCodes.Invalid, "What is to be planned is missing."), (planned[0].Refusal!.Code, planned[0].Refusal!.Sentence));
    }

    private static async Task Run(RunningHub hub, string statement)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(hub.DataFolder, StorageRegistration.FileName)}");
        await connection.OpenAsync(Token);
        await using var command = connection.CreateCommand();
        command.CommandText = statement;
        await command.ExecuteNonQueryAsync(Token);
    }

    /// <summary>Waits for the line that says that watchers could not be told.</summary>
    private sealed class Failures : ILoggerProvider, ILogger
    {
        public Channel<bool> Seen { get; } = Channel.CreateUnbounded<bool>();

        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter)
        {
            if (eventId.Id == NotTold)
            {
                Seen.Writer.TryWrite(true);
            }
        }

        public void Dispose()
        {
        }
    }
}
