using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Board;

/// <summary>The kit board over real sockets, over an invented fleet that was appended as everything else is.</summary>
public sealed class KitBoardHubTests : IAsyncLifetime
{
    private const int Kits = 19;
    private RunningHub _hub = null!;
    private TestConsole _coordinator = null!;
    private FleetSize _entered = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        var people = await new InventedClinic(_hub.App.Services).EnterClinic(Token);
        _entered = await new InventedFleet(_hub.App.Services, people, TimeProvider.System).Enter(Kits, loans: 3, Token);
        _coordinator = await _hub.Console(people.Coordinator);
    }

    public async ValueTask DisposeAsync()
    {
        await _coordinator.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task TheInventedFleetStandsAtEveryStageItIsMeantToAndItsChainsHold()
    {
        var board = await Watch();

        Assert.Equal(Kits, board.Rows.Count);
        Assert.True(_entered.Loans >= 3 * _entered.Kits, $"{_entered.Loans} loans of {_entered.Kits} kits.");
        Assert.True(board.Rows.Select(row => row.Stage).Distinct().Count() >= 14, string.Join(", ", board.Rows.Select(row => $"{row.KitId} {row.Stage}")));
        Assert.All(board.Rows, row => Assert.NotEmpty(row.Tasks!));
        Assert.Contains(board.Rows, row => row.Holds?.Any(hold => hold.Kind == KitHoldKind.BatterySuspect) == true);
        Assert.Contains(board.Rows, row => row.Tasks!.Any(task => task.Kind == KitTaskKind.Chase && task.Why.Contains("ago", StringComparison.Ordinal)));
        foreach (var row in board.Rows)
        {
            var loaded = await _hub.Get<KitFacts>().Load(row.KitId, Token);
            Assert.True(loaded!.Integrity.Valid, row.KitId.ToString());
        }
    }

    [Fact]
    public async Task ASecondStartDoublesNothing()
    {
        var people = await new InventedClinic(_hub.App.Services).EnterClinic(Token);
        var before = await _hub.Get<KitFactStore>().States(Token);

        var again = await new InventedFleet(_hub.App.Services, people, TimeProvider.System).Enter(Kits, loans: 3, Token);

        var after = await _hub.Get<KitFactStore>().States(Token);
        Assert.Equal(new FleetSize(0, 0), again);
        Assert.All(before, pair => Assert.Equal(pair.Value.Version, after[pair.Key].Version));
    }

    [Fact]
    public async Task AChangeTellsTheLineOfItsKitAndNoOther()
    {
        var told = Channel.CreateUnbounded<KitBoardView>();
        _coordinator.Connection.On<KitBoardView>(nameof(IConsoleClient.KitBoardChanged), changed => told.Writer.TryWrite(changed));
        var received = (await Watch()).Rows.First(row => row.Stage == KitStage.Received);

        await _coordinator.MustKit(received.KitId, new BeginCleaning(null));

        var changed = await told.Reader.ReadAsync(Token);
        var row = Assert.Single(changed.Rows);
        Assert.Equal((received.KitId, KitStage.Cleaning), (row.KitId, row.Stage));
        Assert.Equal("sign-turnaround", row.Tasks![0].Move);
    }

    [Fact]
    public async Task TheTimelineIsReadForTheKitsAndDaysAskedForOnly()
    {
        var today = (await _hub.Get<KitFacts>().Day(Token)).Today;
        var kits = (await Watch()).Rows.Select(row => row.KitId).Where(kit => kit.Value is not ("kit-01" or "kit-02" or "kit-03")).Take(5).ToList();

        var view = await Read(new KitTimelineQuery(today.AddDays(-60), 92, [.. kits, new KitId("kit-99")]));

        Assert.Equal(kits, view.Rows.Select(row => row.KitId));
        Assert.All(view.Rows, row => Assert.Contains(row.Spans, span => span.Kind is KitSpanKind.AtSite or KitSpanKind.Calibration));
        Assert.All(view.Rows.SelectMany(row => row.Spans), span => Assert.InRange(span.FirstDay + span.Days, 1, 92));
    }

    [Theory]
    [InlineData(0, 1)]
    [InlineData(KitTimelineQuery.MostDays + 1, 1)]
    [InlineData(31, KitTimelineQuery.MostKits + 1)]
    public async Task AWindowThatIsNoneIsReadAsEmpty(int days, int kits)
    {
        var view = await Read(new KitTimelineQuery((await _hub.Get<KitFacts>().Day(Token)).Today, days, [.. Enumerable.Range(0, kits).Select(number => new KitId($"kit-{number:00}"))]));

        Assert.Empty(view.Rows);
    }

    [Fact]
    public async Task AKitEnteredAnewIsOnTheBoardAndSaysWhatIsToBeDone()
    {
        await _hub.Get<KitFleet>().Enter(new KitId("kit-50"), "loan kit", "shelf", Token);

        var row = Assert.Single((await Watch()).Rows, row => row.KitId.Value == "kit-50");

        Assert.Equal(KitStage.Available, row.Stage);
        Assert.Null(row.Since);
        Assert.NotEmpty(row.Tasks!);
    }

    private Task<KitBoardView> Watch() => _coordinator.Connection.InvokeAsync<KitBoardView>(nameof(IConsoleHub.WatchKitBoard), Token);

    private Task<KitTimelineView> Read(KitTimelineQuery query) => _coordinator.Connection.InvokeAsync<KitTimelineView>(nameof(IConsoleHub.ReadKitTimeline), query, Token);
}
