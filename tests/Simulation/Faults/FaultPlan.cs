namespace TeleHearing.Simulation.Faults;

/// <summary>What goes wrong in a world: up to three things, drawn from its seed, and in one of three a clinician who breaks off what goes on.</summary>
internal static class FaultPlan
{
    private const int MostFaults = 3;

    /// <summary>In one of so many the clinician breaks something off.</summary>
    private const int OneInDecides = 3;

    /// <summary>A session takes about this long when nothing goes wrong.</summary>
    private static readonly TimeSpan _session = TimeSpan.FromMinutes(8);

    /// <summary>About so many messages go back and forth in a session.</summary>
    private const int Messages = 300;

    private static readonly double[] _outages = [0.2, 1, 5, 14, 20, 40, 120, 600];

    public static IReadOnlyList<Fault> Draw(Random chance)
    {
        var count = chance.Next(MostFaults + 1);
        List<Fault> faults = [.. Enumerable.Range(0, count).Select(_ => One(chance))];
        if (chance.Next(OneInDecides) == 0)
        {
            faults.Add(Decision(chance));
        }

        return faults;
    }

    private static Fault One(Random chance)
    {
        var when = When(chance);
        return chance.Next(17) switch
        {
            0 => new LinkCut(when, Outage(chance)),
            1 => new LinkSilent(when, Outage(chance), Up: true, Down: true),
            2 => chance.Next(2) == 0 ? new LinkSilent(when, Outage(chance), Up: true, Down: false) : new LinkSilent(when, Outage(chance), Up: false, Down: true),
            3 => new LinkSlow(when, TimeSpan.FromSeconds(chance.Next(5, 120)), TimeSpan.FromMilliseconds(chance.Next(50, 900)), TimeSpan.FromMilliseconds(chance.Next(0, 1500))),
            4 => new LinkConfused(when, chance.Next(0, 20), chance.Next(0, 10)),
            5 => new ConsoleCut(when, Outage(chance), Silent: chance.Next(2) == 0),
            6 => new HubDies(when, chance.Next(200), TimeSpan.FromSeconds(1 + (20 * chance.NextDouble()))),
            7 => new HubDiesCommitting(when, chance.Next(6), TimeSpan.FromSeconds(1 + (20 * chance.NextDouble()))),
            8 or 9 => new KitDies(when, chance.Next(200), TimeSpan.FromSeconds(1 + (30 * chance.NextDouble()))),
            10 => new KitDiesWriting(when, chance.Next(12), TimeSpan.FromSeconds(1 + (30 * chance.NextDouble()))),
            11 => new KitDiskFull(when, TimeSpan.FromSeconds(1 + (60 * chance.NextDouble()))),
            12 => new HubDiskFails(when, TimeSpan.FromSeconds(0.1 + (20 * chance.NextDouble()))),
            13 => new Freeze(when, chance.Next(2) == 0, TimeSpan.FromSeconds(0.1 + (8 * chance.NextDouble()))),
            14 => new ClockJumps(when, chance.Next(2) == 0, TimeSpan.FromSeconds((chance.Next(2) == 0 ? 1 : -1) * Math.Pow(10, chance.NextDouble() * 4))),
            15 => new StopPressedAtSite(when),
            _ => chance.Next(3) switch
            {
                0 => new TakenOver(when, TimeSpan.FromSeconds(chance.Next(5, 90))),
                1 => new ClinicianHolds(when),
                _ => new ConsentTakenBackAtSite(when),
            },
        };
    }

    /// <summary>What the clinician breaks off. Drawn after the rest, so that the rest does not depend on it.</summary>
    private static Fault Decision(Random chance)
    {
        var when = When(chance);
        return chance.Next(6) switch
        {
            0 => new ClinicianEndsEarly(when),
            1 => new ConsentTakenBackAtConsole(when),
            _ => new ClinicianCuts(when, TimeSpan.FromSeconds(20 * chance.NextDouble())),
        };
    }

    private static Moment When(Random chance) => chance.Next(2) == 0
        ? new Moment.At(TimeSpan.FromSeconds(chance.NextDouble() * _session.TotalSeconds))
        : new Moment.Message(chance.Next(1, Messages));

    private static TimeSpan Outage(Random chance) => TimeSpan.FromSeconds(_outages[chance.Next(_outages.Length)] * (0.8 + (0.4 * chance.NextDouble())));
}
