using System.Collections.Concurrent;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>A console that takes nothing is cut, and holds nothing back for anybody.</summary>
public sealed class StalledReaderTests
{
    [Fact]
    public async Task AConsoleThatTakesNothingIsCutAfterItsTime()
    {
        var time = new FakeTimeProvider();
        var client = new StalledClient();
        var cut = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var watcher = new Watcher(client, () => false, _ => { }, () => cut.TrySetResult(), time);
        watcher.Show(Board(0));
        await client.Asked.Task.WaitAsync(TestContext.Current.CancellationToken);

        // However much comes, one message is on its way and the newest picture waits.
        for (var number = 1; number <= 1000; number++)
        {
            watcher.Show(Board(number));
        }

        Assert.Single(client.Sent);
        time.Advance(Watcher.LongestSend - TimeSpan.FromMilliseconds(1));
        Assert.False(cut.Task.IsCompleted);
        time.Advance(TimeSpan.FromMilliseconds(1));
        await cut.Task.WaitAsync(TestContext.Current.CancellationToken);
        Assert.Single(client.Sent);
    }

    private static BoardView Board(int number) => new(DateTimeOffset.UnixEpoch.AddSeconds(number), [], []);

    private sealed class StalledClient : IConsoleClient
    {
        public ConcurrentQueue<BoardView> Sent { get; } = [];

        public TaskCompletionSource Asked { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

        public Task BoardChanged(BoardView board)
        {
            Sent.Enqueue(board);
            Asked.TrySetResult();
            return new TaskCompletionSource().Task;
        }

        public Task SessionChanged(SessionView view) => Task.CompletedTask;

        public Task KitChanged(KitView view) => Task.CompletedTask;

        public Task FleetChanged(FleetView fleet) => Task.CompletedTask;

        public Task KitBoardChanged(KitBoardView changed) => Task.CompletedTask;

        public Task Signalled(LiveSignal signal) => Task.CompletedTask;
    }
}
