using System.Globalization;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>What the hub holds and keeps up under load: memory of idle sessions, a console that floods.</summary>
internal static class LoadFigures
{
    private const int IdleSessions = 1000;
    private static readonly TimeSpan _asking = TimeSpan.FromSeconds(8);

    /// <summary>A console that watches its session and the linked kit of it, a thousand times, against two connections each of a bare hub. Clients are other processes in both.</summary>
    public static async Task Memory(CancellationToken cancellationToken)
    {
        var bare = await Growth(await ServerProcess.Relay(), async server => await RelayPair.Connect(server.Listening.Address), pair => pair.Stands, IdleSessions, cancellationToken);
        var live = 0;
        var hub = await Growth(await ServerProcess.Hub(IdleSessions + 1), async server => await Desk.Open(server.Listening.Address, server.Listening.Seats[live++]), desk => desk.Stands, IdleSessions, cancellationToken);
        Figures.Line($"{IdleSessions} live idle sessions: objects {hub.Heap / IdleSessions / 1024.0:0.0} KiB each, memory of the process {hub.Anonymous / IdleSessions / 1024.0:0.0} KiB each; two bare connections: {bare.Heap / IdleSessions / 1024.0:0.0} and {bare.Anonymous / IdleSessions / 1024.0:0.0} KiB");
        Figures.Ratio("memory of 1,000 live idle sessions against two bare connections each", (double)hub.Anonymous / bare.Anonymous, "at most", 2);
    }

    /// <summary>One console asks ten times what it may; another one works.</summary>
    public static async Task Flood(CancellationToken cancellationToken)
    {
        await using var hub = await ServerProcess.Hub(2, limited: true);
        await using var desk = await Desk.Open(hub.Listening.Address, hub.Listening.Seats[0]);
        await using var other = await Desk.Open(hub.Listening.Address, hub.Listening.Seats[1]);
        await desk.Walk();
        await Asks(desk);
        var quiet = await Asks(desk);
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var flooding = FloodUntil(other, ending.Token);
        var flooded = await Asks(desk);
        await ending.CancelAsync();
        var (sent, refused) = await flooding;
        Figures.Line($"one console asked {sent} times in {_asking.TotalSeconds:0} s, {refused} of them refused");
        Figures.Print("another console, quiet", quiet);
        Figures.Print("another console, while one floods", flooded);
        Figures.Ratio("one client at ten times its limit: the others' p99 against quiet", flooded.P99 / quiet.P99, "at most", 2);
    }

    private static async Task<Memory> Growth<T>(ServerProcess server, Func<ServerProcess, Task<T>> connect, Func<T, bool> stands, int count, CancellationToken cancellationToken)
        where T : IAsyncDisposable
    {
        var all = new List<T> { await connect(server) };
        var before = await server.Memory();
        for (var number = 0; number < count; number++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            all.Add(await connect(server));
        }

        var after = await server.Memory();
        if (all.Count(one => !stands(one)) is > 0 and var lost)
        {
            throw new InvalidOperationException($"{lost} of {all.Count} pairs of connections ended before their memory was measured, so the figure would be too small. Nothing is wrong with the others. Measure again on a machine that does nothing else.");
        }

        await Task.WhenAll(all.Select(one => one.DisposeAsync().AsTask()));
        await server.DisposeAsync();
        return new Memory(after.Heap - before.Heap, after.Anonymous - before.Anonymous);
    }

    /// <summary>Asks forty times a second, as an eager person with several fingers.</summary>
    private static async Task<Spread> Asks(Desk desk)
    {
        var times = new List<double>();
        var began = TimeProvider.System.GetTimestamp();
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(25), TimeProvider.System);
        while (TimeProvider.System.GetElapsedTime(began) < _asking && await timer.WaitForNextTickAsync())
        {
            var start = TimeProvider.System.GetTimestamp();
            await desk.Ask(new AddNote("a note"));
            times.Add(TimeProvider.System.GetElapsedTime(start).TotalMilliseconds);
        }

        return new Spread(times);
    }

    /// <summary>Ten times the hundred calls a second that a console may make.</summary>
    private static async Task<(int Sent, int Refused)> FloodUntil(Desk desk, CancellationToken cancellationToken)
    {
        var (sent, refused) = (0, 0);
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(10), TimeProvider.System);
        var pending = new List<Task<Receipt>>();
        try
        {
            while (await timer.WaitForNextTickAsync(cancellationToken))
            {
                pending.RemoveAll(task => task.IsCompleted);
                for (var number = 0; number < 10; number++)
                {
                    sent++;
                    pending.Add(Count(desk.Console.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), desk.Envelope(new AddNote("flood")), CancellationToken.None)));
                }
            }
        }
        catch (OperationCanceledException)
        {
            // Long enough.
        }

        await Task.WhenAll(pending);
        return (sent, refused);

        async Task<Receipt> Count(Task<Receipt> asked)
        {
            var receipt = await asked;
            if (receipt.Refusal?.Code == RefusalCodes.TooOften)
            {
                Interlocked.Increment(ref refused);
            }

            return receipt;
        }
    }
}
