namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>A durable command end to end, and many sessions at once, beside the bare relay.</summary>
internal static class CommandFigures
{
    /// <summary>Rounds of a turn, in one session: a session of life has about so many presentations.</summary>
    private const int Rounds = 150;

    /// <summary>Rounds of a turn before figures are taken: then what opens a session, too, is done so often that it is compiled.</summary>
    private const int WarmRounds = 45;

    /// <summary>Rounds that hub and relay take by turns.</summary>
    private const int Block = 15;

    private const int Counted = 6;
    private const int Sessions = 20;
    private const int Turns = 5;
    private const int MostWarmTurns = 160;
    private const int MostBusyWarmTurns = 12;

    private static readonly TimeSpan _busyFor = TimeSpan.FromSeconds(4);

    /// <summary>One session: an order to the kit, until the console has its receipt and the kit its order; the relay: a text, until the sender is answered and the receiver has it.</summary>
    public static async Task OneSession(CancellationToken cancellationToken)
    {
        await using var hub = await ServerProcess.Hub(MostWarmTurns + Counted);
        await using var relay = await ServerProcess.Relay();
        await using var pair = await RelayPair.Connect(relay.Listening.Address);
        var (bare, durable) = (new List<double>(), new List<double>());
        var (warm, seat) = (new Warming(MostWarmTurns, hub, relay), 0);
        while (!warm.Done)
        {
            await Turn(hub, seat++, WarmRounds, pair, cancellationToken);
            await warm.Turned();
        }

        var used = TimeSpan.Zero;
        for (var turn = 0; turn < Counted; turn++)
        {
            var (quickly, slowly, cost) = await Turn(hub, seat++, Rounds, pair, cancellationToken);
            used += cost;
            bare.AddRange(quickly);
            durable.AddRange(slowly);
        }

        var (slow, quick) = (new Spread(durable), new Spread(bare));
        Figures.Print($"bare relay, {bare.Count} texts", quick);
        Figures.Print($"durable command, {durable.Count} orders", slow);
        Figures.Line($"  processor time of the hub for an order and its report: {used.TotalMilliseconds / durable.Count:0.000} ms");
        Figures.Ratio("durable command against bare relay, p50", slow.P50 / quick.P50, "at most", 2.0);
    }

    /// <summary>Twenty sessions, each an order and the report of its end without pause, against twenty pairs of the relay that pass a text there and back.</summary>
    public static async Task Busy(CancellationToken cancellationToken)
    {
        await using var hub = await ServerProcess.Hub(Sessions * (MostBusyWarmTurns + Turns));
        await using var relay = await ServerProcess.Relay();
        var pairs = new List<RelayPair>();
        for (var number = 0; number < Sessions; number++)
        {
            pairs.Add(await RelayPair.Connect(relay.Listening.Address));
        }

        var (bare, durable, cost) = (new List<double>(), new List<double>(), new List<double>());
        var (warm, counted, used) = (new Warming(MostBusyWarmTurns, hub, relay), 0, 0);
        while (counted < Turns)
        {
            // Others each turn, for sessions of life do not grow without end.
            var desks = new List<Desk>();
            foreach (var seat in hub.Listening.Seats.Skip(used++ * Sessions).Take(Sessions))
            {
                desks.Add(await Desk.Open(hub.Listening.Address, seat));
                await desks[^1].Walk();
            }

            var text = desks[0].Text;
            var quick = await Figures.Rate(pairs, _busyFor, async pair =>
            {
                await pair.There(text);
                await pair.Back(text);
            }, cancellationToken);
            var before = hub.Processor();
            var slow = await Figures.Rate(desks, _busyFor, async desk => await desk.Report((await desk.Order()).Step), cancellationToken);
            cost.Add((hub.Processor() - before).TotalMilliseconds / (slow * _busyFor.TotalSeconds));
            if (warm.Done)
            {
                counted++;
                bare.Add(quick * 2);
                durable.Add(slow * 2);
            }
            else
            {
                await warm.Turned();
            }

            foreach (var desk in desks)
            {
                await desk.DisposeAsync();
            }
        }

        Figures.Line($"  processor time of the hub for an order and its report: {new Spread(cost.TakeLast(Turns)).P50:0.000} ms");
        var (whole, half) = (new Spread(bare).P50, new Spread(durable).P50);
        Figures.Line($"bare relay, {Sessions} pairs: {whole:0} messages a second; {Sessions} busy sessions: {half:0} durable messages a second (orders and reports)");
        Figures.Ratio($"throughput of {Sessions} busy sessions against the bare relay", half / whole, "at least", 0.5);
        foreach (var pair in pairs)
        {
            await pair.DisposeAsync();
        }
    }

    /// <summary>One session, by turns with the relay.</summary>
    /// <returns>What each text and each order took, ms; and the processor time that the hub took for the orders and their reports.</returns>
    private static async Task<(List<double> Bare, List<double> Durable, TimeSpan Cost)> Turn(ServerProcess hub, int seat, int rounds, RelayPair pair, CancellationToken cancellationToken)
    {
        await using var desk = await Desk.Open(hub.Listening.Address, hub.Listening.Seats[seat]);
        await desk.Walk();
        var (bare, durable, text, before) = (new List<double>(), new List<double>(), desk.Text, hub.Processor());
        for (var round = 0; round < rounds; round += Block)
        {
            for (var turn = 0; turn < Block; turn++)
            {
                cancellationToken.ThrowIfCancellationRequested();
                bare.Add(await pair.There(text));
                await pair.Back(text);
            }

            for (var turn = 0; turn < Block; turn++)
            {
                var (milliseconds, step) = await desk.Order();
                await desk.Report(step);
                durable.Add(milliseconds);
            }
        }

        return (bare, durable, hub.Processor() - before);
    }
}
