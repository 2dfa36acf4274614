using System.Globalization;
using TeleHearing.EndToEnd.Tests.Faults;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing.Messages;

namespace TeleHearing.Benchmarks;

/// <summary>The long runs of the faults on real processes whose short forms are tests (docs/validation/faults.md). Prints what it saw as it goes; an exit code above zero means that something did not hold.</summary>
internal static class FaultBenchmark
{
    public const string Usage = "faults tamper|delay|kills|outages|states [NUMBER] [SEED], after tamper also the one class to make";

    /// <summary>Rigs at a time: each waits most of the time, for its links to come back.</summary>
    private const int AtATime = 6;

    /// <summary>Errors made in one session before a new one is begun; its log grows with each.</summary>
    private const int PerSession = 100;

    /// <summary>Rigs are brought up one after the other: several at once would be too slow for each other's timeouts.</summary>
    private static readonly SemaphoreSlim _starting = new(1, 1);

    private static readonly double[] _outageSeconds = [0.2, 1, 5, 14, 20, 40, 120, 600];

    public static async Task<int> Run(string[] arguments, CancellationToken cancellationToken)
    {
        var number = arguments.Length > 1 ? int.Parse(arguments[1], CultureInfo.InvariantCulture) : 0;
        var seed = arguments.Length > 2 ? int.Parse(arguments[2], CultureInfo.InvariantCulture) : 1;
        switch (arguments is [var what, ..] ? what : string.Empty)
        {
            case "tamper" when arguments.Length <= 3:
                return await Tamper([.. Enum.GetValues<CommunicationError>().Where(error => error != CommunicationError.Delay)], number > 0 ? number : 1000, seed, cancellationToken);
            case "tamper" when Enum.TryParse<CommunicationError>(arguments[3], ignoreCase: true, out var one):
                return await Tamper([one], number > 0 ? number : 1000, seed, cancellationToken);
            case "delay":
                return await Tamper([CommunicationError.Delay], number > 0 ? number : 1000, seed, cancellationToken);
            case "kills":
                var kills = await KillCampaign.Run(number > 0 ? number : 500, seed, figures => Say($"hub killed {figures.Hub} times, agent {figures.Agent}; {figures.Sessions} sessions closed, {figures.Acknowledged} acknowledged commands stand"), cancellationToken);
                Say($"{kills.Hub + kills.Agent} kills: 0 acknowledged lost, 0 doubled, 0 chain breaks");
                return 0;
            case "states":
                for (var first = 0; first < (number > 0 ? number : 4); first++)
                {
                    Say($"{await StateCampaign.Run(first, cancellationToken)} states of a session, the link away in each; closed, nothing lost, nothing twice");
                }

                return 0;
            case "outages":
                return await Outages(number > 0 ? [.. _outageSeconds.Where(seconds => seconds <= number)] : _outageSeconds, seed, cancellationToken);
            default:
                await Console.Error.WriteLineAsync(Usage);
                return 2;
        }
    }

    private static async Task<int> Tamper(IReadOnlyList<CommunicationError> errors, int number, int seed, CancellationToken cancellationToken)
    {
        var work = errors.SelectMany(error => Enumerable.Range(0, (number + PerSession - 1) / PerSession).Select(part => (Error: error, Part: part, Count: Math.Min(PerSession, number - (part * PerSession))))).ToList();
        var (gate, all) = (new Lock(), new List<TamperFigures>());
        await Parallel.ForEachAsync(work, new ParallelOptions { MaxDegreeOfParallelism = AtATime, CancellationToken = cancellationToken }, async (one, token) =>
        {
            await using var campaign = await Alone(() => TamperCampaign.Start((seed * 10_000) + ((int)one.Error * 100) + one.Part, token), token);
            var figures = await campaign.Run(one.Error, one.Count, token);
            await campaign.Finish(token);
            lock (gate)
            {
                all.Add(figures);
                foreach (var group in all.Where(done => done.Error == one.Error).GroupBy(done => done.Error))
                {
                    var by = group.SelectMany(done => done.By).GroupBy(pair => pair.Key).OrderBy(pairs => pairs.Key, StringComparer.Ordinal).Select(pairs => $"{pairs.Key} {pairs.Sum(pair => pair.Value)}");
                    Say($"{group.Key}: {group.Sum(done => done.Caught)} of {group.Sum(done => done.Injected)} caught ({string.Join(", ", by)}); {group.Count()} sessions closed");
                }
            }
        });
        return all.Sum(done => done.Injected - done.Caught) == 0 ? 0 : 1;
    }

    private static async Task<int> Outages(IReadOnlyList<double> lengths, int seed, CancellationToken cancellationToken)
    {
        var work = new[] { OutageKind.Silent, OutageKind.Refused, OutageKind.HubStandsStill, OutageKind.HubKilled, OutageKind.SilentToHub, OutageKind.SilentFromHub, OutageKind.KitStandsStill };
        var worst = TimeSpan.Zero;
        await Parallel.ForEachAsync(work, new ParallelOptions { MaxDegreeOfParallelism = AtATime, CancellationToken = cancellationToken }, async (kind, token) =>
        {
            var random = new Random(seed + (int)kind);
            await using var rig = await Alone(() => OutageCampaign.Prepare(token), token);
            foreach (var seconds in lengths)
            {
                var one = await OutageCampaign.Run(rig, kind, TimeSpan.FromSeconds(seconds), TimeSpan.FromSeconds(1 + random.NextDouble()), token);
                worst = one.Silence > worst ? one.Silence : worst;
                var noticed = one.Noticed is { } at ? string.Create(CultureInfo.InvariantCulture, $"{at.TotalSeconds:0.00} s") : "not within it";
                Say(string.Create(CultureInfo.InvariantCulture, $"{kind} {seconds} s: silent after {one.Silence.TotalSeconds:0.000} s, shown on the console after {noticed}, back {one.Back.TotalSeconds:0.00} s after it ended{(one.Repeated ? ", room and sides proved anew" : string.Empty)}"));
            }

            await rig.Agent.Kill(token);
            await rig.Agent.Start("fast", enrolmentCode: null, token);
            var end = await rig.Clinician.Walk(token);
            await WholeLog.AssertOf(rig.Link, rig.Hub.Session, token);
            Say($"{kind}: {end.Sentence}");
        });
        Say(string.Create(CultureInfo.InvariantCulture, $"longest sound after an outage began: {worst.TotalSeconds:0.000} s"));
        return worst <= TimeSpan.FromSeconds(1.1) ? 0 : 1;
    }

    private static async Task<T> Alone<T>(Func<Task<T>> start, CancellationToken cancellationToken)
    {
        await _starting.WaitAsync(cancellationToken);
        try
        {
            return await start();
        }
        finally
        {
            _starting.Release();
        }
    }

    private static void Say(string line) => Console.WriteLine(line);
}
