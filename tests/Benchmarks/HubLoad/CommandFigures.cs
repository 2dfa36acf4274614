namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>A durable command end to end, and many sessions at once, beside the bare relay.</summary>
internal static class CommandFigures
{
    private const int Rounds = 600;
    private const int WarmUp = 1500;
    private const int Block = 20;
    private const int Sessions = 20;
    private const int Turns = 5;

    /// <summary>Turns before anything counts: until the programs are compiled for good, as in a hub that has run for a minute.</summary>
    private const int WarmTurns = 6;

    /// <summary>Rounds after which another session goes on: a session of life has about so many presentations.</summary>
    private const int RoundsPerSession = 150;

    private static readonly TimeSpan _busyFor = TimeSpan.FromSeconds(4);

    /// <summary>One session: an order to the kit, until the console has its receipt and the kit its order; the relay: a text, until the sender is answered and the receiver has it.</summary>
    public static async Task OneSession(CancellationToken cancellationToken)
    {
        var desks = (Rounds + WarmUp + RoundsPerSession - 1) / RoundsPerSession;
        await using var hub = await ServerProcess.Hub(desks);
        await using var relay = await ServerProcess.Relay();
        await using var pair = await RelayPair.Connect(relay.Listening.Address);
        var (bare, durable) = (new List<double>(), new List<double>());
        Desk? desk = null;
        for (var round = 0; round < Rounds + WarmUp; round += Block)
        {
            if (round % RoundsPerSession < Block)
            {
                await (desk?.DisposeAsync() ?? ValueTask.CompletedTask);
                desk = await Desk.Open(hub.Listening.Address, hub.Listening.Seats[round / RoundsPerSession]);
                await desk.Walk();
            }

            var text = desk!.Text;
            for (var turn = 0; turn < Block; turn++)
            {
                cancellationToken.ThrowIfCancellationRequested();
                var there = await pair.There(text);
                await pair.Back(text);
                if (round >= WarmUp)
                {
                    bare.Add(there);
                }
            }

            for (var turn = 0; turn < Block; turn++)
            {
                var (milliseconds, step) = await desk.Order();
                await desk.Report(step);
                if (round >= WarmUp)
                {
                    durable.Add(milliseconds);
                }
            }
        }

        await desk!.DisposeAsync();
        var (slow, quick) = (new Spread(durable), new Spread(bare));
        Figures.Print($"bare relay, {bare.Count} texts", quick);
        Figures.Print($"durable command, {durable.Count} orders", slow);
        Figures.Ratio("durable command against bare relay, p50", slow.P50 / quick.P50, "at most", 2.0);
    }

    /// <summary>Twenty sessions, each an order and the report of its end without pause, against twenty pairs of the relay that pass a text there and back.</summary>
    public static async Task Busy(CancellationToken cancellationToken)
    {
        await using var hub = await ServerProcess.Hub(Sessions * (WarmTurns + Turns));
        await using var relay = await ServerProcess.Relay();
        var pairs = new List<RelayPair>();
        for (var number = 0; number < Sessions; number++)
        {
            pairs.Add(await RelayPair.Connect(relay.Listening.Address));
        }

        var (bare, durable) = (new List<double>(), new List<double>());
        for (var turn = 0; turn < WarmTurns + Turns; turn++)
        {
            // Others each turn, for sessions of life do not grow without end.
            var desks = new List<Desk>();
            foreach (var seat in hub.Listening.Seats.Skip(turn * Sessions).Take(Sessions))
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
            var slow = await Figures.Rate(desks, _busyFor, async desk => await desk.Report((await desk.Order()).Step), cancellationToken);
            if (turn >= WarmTurns)
            {
                bare.Add(quick * 2);
                durable.Add(slow * 2);
            }

            foreach (var desk in desks)
            {
                await desk.DisposeAsync();
            }
        }

        var (whole, half) = (new Spread(bare).P50, new Spread(durable).P50);
        Figures.Line($"bare relay, {Sessions} pairs: {whole:0} messages a second; {Sessions} busy sessions: {half:0} durable messages a second (orders and reports)");
        Figures.Ratio($"throughput of {Sessions} busy sessions against the bare relay", half / whole, "at least", 0.5);
        foreach (var pair in pairs)
        {
            await pair.DisposeAsync();
        }
    }
}
