using System.Diagnostics;
using System.Runtime;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>Busy sessions in a process of their own, so that who measures is not busy with them. It is the same process from turn to turn, so that it does not compile itself anew beside each.</summary>
internal sealed class LoadProcess : IAsyncDisposable
{
    public const string Verb = "load-for-figures";

    /// <summary>Longest that it may take to link its sessions, or to end: beyond it something went wrong.</summary>
    private static readonly TimeSpan _longest = TimeSpan.FromMinutes(2);

    private readonly Process _process;

    private LoadProcess(Process process) => _process = process;

    /// <summary>Starts it; nothing is asked of the hub yet.</summary>
    public static async Task<LoadProcess> Begin(Uri hub)
    {
        var load = new LoadProcess(ServerProcess.Begin(Verb));
        try
        {
            await load._process.StandardInput.WriteLineAsync(hub.ToString());
            return load;
        }
        catch
        {
            await load.DisposeAsync();
            throw;
        }
    }

    /// <summary>Links these and waits until each has made its first round, and goes on.</summary>
    public async Task Go(IReadOnlyList<Seat> seats)
    {
        await _process.StandardInput.WriteLineAsync(JsonSerializer.Serialize(seats, Protocol.Json));
        await Answer();
    }

    /// <summary>Lets them end.</summary>
    public async Task<Worked> Rest()
    {
        await _process.StandardInput.WriteLineAsync();
        return JsonSerializer.Deserialize<Worked>(await Answer())!;
    }

    public async ValueTask DisposeAsync()
    {
        _process.StandardInput.Close();
        using var limit = new CancellationTokenSource(_longest);
        try
        {
            await _process.WaitForExitAsync(limit.Token);
        }
        catch (OperationCanceledException)
        {
            _process.Kill(entireProcessTree: true);
        }

        _process.Dispose();
    }

    /// <summary>The process itself: until its input ends.</summary>
    public static async Task<int> Run()
    {
        var hub = new Uri(await Console.In.ReadLineAsync() ?? string.Empty);
        while (await Console.In.ReadLineAsync() is { } seats)
        {
            await Turn(hub, JsonSerializer.Deserialize<List<Seat>>(seats, Protocol.Json)!);
        }

        return 0;
    }

    private static async Task Turn(Uri hub, List<Seat> seats)
    {
        var desks = new List<Desk>();
        foreach (var seat in seats)
        {
            desks.Add(await Desk.Open(hub, seat));
            await desks[^1].Walk();
        }

        using var ending = new CancellationTokenSource();
        await Task.WhenAll(desks.Select(Round));
        var began = TimeProvider.System.GetTimestamp();
        var rounds = Task.WhenAll(desks.Select(desk => Task.Run(async () =>
        {
            var count = 0;
            while (!ending.IsCancellationRequested)
            {
                await Round(desk);
                count++;
            }

            return count;
        })));
        Console.WriteLine("busy");
        _ = await Console.In.ReadLineAsync();
        var elapsed = TimeProvider.System.GetElapsedTime(began).TotalSeconds;
        await ending.CancelAsync();
        var made = (await rounds).Sum() / elapsed;
        foreach (var desk in desks)
        {
            await desk.End();
            await desk.DisposeAsync();
        }

        Console.WriteLine(JsonSerializer.Serialize(new Worked(made, JitInfo.GetCompilationTime())));
    }

    private static async Task Round(Desk desk) => await desk.Report((await desk.Order()).Step);

    private async Task<string> Answer() => await _process.StandardOutput.ReadLineAsync().WaitAsync(_longest) ?? throw new InvalidOperationException("The load ended before it answered; what was wrong stands above.");
}

/// <summary>What the load did in a turn.</summary>
/// <param name="RoundsPerSecond">Rounds a second, each an order and a report.</param>
/// <param name="Compiled">Time that it has spent compiling itself so far.</param>
internal sealed record Worked(double RoundsPerSecond, TimeSpan Compiled);
