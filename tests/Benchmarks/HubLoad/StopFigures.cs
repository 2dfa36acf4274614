using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>From the console's cut of a step to the kit that hears it: alone, and while nineteen other sessions are busy without pause.</summary>
internal static class StopFigures
{
    private const int BusySessions = 19;

    /// <summary>Stops in a session; few, for sessions of life do not grow without end.</summary>
    private const int Stops = 150;

    private const int Turns = 10;
    private const int MostWarmTurns = 30;

    public static async Task Run(CancellationToken cancellationToken)
    {
        await using var hub = await ServerProcess.Hub((MostWarmTurns + Turns) * (2 + BusySessions));
        await using var load = await LoadProcess.Begin(hub.Listening.Address);
        var (idle, full, rounds, seats) = (new List<double>(), new List<double>(), new List<double>(), new Queue<Seat>(hub.Listening.Seats));
        var warm = new Warming(MostWarmTurns, hub);
        for (var counted = 0; counted < Turns;)
        {
            cancellationToken.ThrowIfCancellationRequested();
            var alone = await Times(hub, seats.Dequeue());
            await load.Go([.. Enumerable.Range(0, BusySessions).Select(_ => seats.Dequeue())]);
            var beside = await Times(hub, seats.Dequeue());
            var worked = await load.Rest();
            if (!warm.Done)
            {
                await warm.Turned(worked.Compiled);
                continue;
            }

            idle.AddRange(alone);
            full.AddRange(beside);
            rounds.Add(worked.RoundsPerSecond);
            counted++;
        }

        var (quiet, busy) = (new Spread(idle), new Spread(full));
        Figures.Print($"stop, idle, {idle.Count} times", quiet);
        Figures.Print(string.Create(CultureInfo.InvariantCulture, $"stop, {BusySessions} busy sessions ({new Spread(rounds).P50:0} orders and reports a second)"), busy);
        Figures.Ratio("stop, p99 under full load against p99 idle", busy.P99 / quiet.P99, "at most", 2);
    }

    /// <summary>Stops in a session of their own, which is over when this returns.</summary>
    private static async Task<List<double>> Times(ServerProcess hub, Seat seat)
    {
        await using var desk = await Desk.Open(hub.Listening.Address, seat);
        await desk.Walk();
        var times = new List<double>();
        for (var number = 0; number < Stops; number++)
        {
            var (_, step) = await desk.Order();
            times.Add(await desk.Cut(step));
            await desk.Report(step, StepEnding.Cut);
        }

        await desk.End();
        return times;
    }
}
