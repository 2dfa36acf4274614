using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>Busy sessions in a process of their own, so that who measures is not busy with them. It is the same process from turn to turn, so that it does not compile itself anew beside each.</summary>
internal sealed class LoadProcess : IAsyncDisposable
{
    public const string Verb = "load-for-figures";

    private readonly Process _process;

    private LoadProcess(Process process) => _process = process;

    /// <summary>Starts it; nothing is asked of the hub yet.</summary>
    public static async Task<LoadProcess> Begin(Uri hub)
    {
        var process = ServerProcess.Begin(Verb);
        await process.StandardInput.WriteLineAsync(hub.ToString());
        return new LoadProcess(process);
    }

    /// <summary>Links these and waits until every one is at testing and busy.</summary>
    public async Task Go(IReadOnlyList<Seat> seats)
    {
        await _process.StandardInput.WriteLineAsync(JsonSerializer.Serialize(seats, Protocol.Json));
        await Answer();
    }

    /// <summary>Lets them end.</summary>
    /// <returns>Rounds a second that they made, each an order and a report.</returns>
    public async Task<double> Rest()
    {
        await _process.StandardInput.WriteLineAsync();
        return double.Parse(await Answer(), CultureInfo.InvariantCulture);
    }

    public async ValueTask DisposeAsync()
    {
        _process.StandardInput.Close();
        await _process.WaitForExitAsync();
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
        var began = TimeProvider.System.GetTimestamp();
        var rounds = Task.WhenAll(desks.Select(desk => Task.Run(async () =>
        {
            var count = 0;
            while (!ending.IsCancellationRequested)
            {
                await desk.Report((await desk.Order()).Step);
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
            await desk.DisposeAsync();
        }

        Console.WriteLine(made.ToString(CultureInfo.InvariantCulture));
    }

    private async Task<string> Answer() => await _process.StandardOutput.ReadLineAsync() ?? throw new InvalidOperationException("The load ended before it answered; what was wrong stands above.");
}
