using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>Busy sessions in a process of their own, so that who measures is not busy with them.</summary>
internal sealed class LoadProcess : IAsyncDisposable
{
    public const string Verb = "load-for-figures";

    private readonly Process _process;

    private LoadProcess(Process process) => _process = process;

    /// <summary>Starts it and waits until every session is at testing.</summary>
    public static async Task<LoadProcess> Begin(ServerProcess hub, int first, int count)
    {
        var process = ServerProcess.Begin(Verb);
        await process.StandardInput.WriteLineAsync(JsonSerializer.Serialize(hub.Listening with { Seats = [.. hub.Listening.Seats.Skip(first).Take(count)] }, Protocol.Json));
        _ = await process.StandardOutput.ReadLineAsync() ?? throw new InvalidOperationException("The load ended before it began; what was wrong stands above.");
        return new LoadProcess(process);
    }

    /// <summary>Ends it.</summary>
    /// <returns>Rounds a second, each an order and a report.</returns>
    public async Task<double> End()
    {
        _process.StandardInput.Close();
        return double.Parse(await _process.StandardOutput.ReadLineAsync() ?? "0", CultureInfo.InvariantCulture);
    }

    public async ValueTask DisposeAsync()
    {
        await _process.WaitForExitAsync();
        _process.Dispose();
    }

    /// <summary>The process itself: until its input ends.</summary>
    public static async Task<int> Run()
    {
        var listening = JsonSerializer.Deserialize<Listening>(await Console.In.ReadLineAsync() ?? string.Empty, Protocol.Json)!;
        var desks = new List<Desk>();
        foreach (var seat in listening.Seats)
        {
            desks.Add(await Desk.Open(listening.Address, seat));
            await desks[^1].Walk();
        }

        Console.WriteLine("ready");
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
        _ = await Console.In.ReadLineAsync();
        var elapsed = TimeProvider.System.GetElapsedTime(began).TotalSeconds;
        await ending.CancelAsync();
        Console.WriteLine(((await rounds).Sum() / elapsed).ToString(CultureInfo.InvariantCulture));
        foreach (var desk in desks)
        {
            await desk.DisposeAsync();
        }

        return 0;
    }
}
