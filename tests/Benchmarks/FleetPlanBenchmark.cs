using System.Diagnostics;
using System.Globalization;
using TeleHearing.Hub.Planning.Solving;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Benchmarks;

/// <summary>Plans invented years and says how far each plan is from the bound and from serving requests in the order asked.</summary>
internal static class FleetPlanBenchmark
{
    public const string Usage = "fleet-plan [--seeds N] [--first N] [--seconds S] [--processor-seconds S] [--kits N] [--requests N] [--one-more S]";

    public static Task<int> Run(IReadOnlyList<string> arguments, CancellationToken cancellationToken)
    {
        var options = new Dictionary<string, double>(StringComparer.Ordinal)
        {
            ["--seeds"] = 5, ["--first"] = 1, ["--seconds"] = 30, ["--processor-seconds"] = 0, ["--kits"] = 12, ["--requests"] = 500, ["--one-more"] = 0,
        };
        for (var place = 0; place < arguments.Count; place += 2)
        {
            if (!options.ContainsKey(arguments[place]) || place + 1 == arguments.Count || !double.TryParse(arguments[place + 1], CultureInfo.InvariantCulture, out var number))
            {
                Console.Error.WriteLine($"Not understood: {arguments[place]}. Give {Usage}.");
                return Task.FromResult(2);
            }

            options[arguments[place]] = number;
        }

        Print($"{options["--kits"]} kits, {options["--requests"]} requests over 364 days, certificates of 91 days, 14 days at the laboratory, at most 3 there at once.");
        Print($"{Environment.ProcessorCount} processors, load {Load()} at the start. A search ends after {options["--seconds"]} s{(options["--processor-seconds"] > 0 ? $" or {options["--processor-seconds"]} s of processor time" : string.Empty)}.");
        Console.WriteLine("| seed | load on kits | weight | first come: left out, lateness | plan: left out, lateness, moves | bound: left out, lateness | weight placed within | lateness within | proven | wall s | processor s |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
        var outcomes = new List<FleetOutcome>();
        for (var seed = (int)options["--first"]; seed < options["--first"] + options["--seeds"] && !cancellationToken.IsCancellationRequested; seed++)
        {
            outcomes.Add(One(seed, options, cancellationToken));
        }

        Summary(outcomes);
        return Task.FromResult(outcomes.TrueForAll(outcome => outcome.Score.CompareTo(outcome.FirstCome) <= 0) ? 0 : 1);
    }

    private static FleetOutcome One(int seed, Dictionary<string, double> options, CancellationToken cancellationToken)
    {
        var shape = new PlanShape { Kits = (int)options["--kits"], Requests = (int)options["--requests"] };
        var problem = PlanGenerator.Generate(shape, seed);
        var before = Processor();
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        using var watch = options["--processor-seconds"] is > 0 and var most
            ? TimeProvider.System.CreateTimer(_ => StopAfter(before + most, stop), null, TimeSpan.FromSeconds(0.1), TimeSpan.FromSeconds(0.1))
            : null;
        var outcome = new FleetSearch(TimeProvider.System).Run(problem, new FleetSearchSettings(options["--seconds"], seed) { SecondsForOneMoreKit = options["--one-more"] }, null, stop.Token);
        var used = Processor() - before;
        if (PlanJudge.Faults(problem, outcome.Plan) is { Count: > 0 } faults)
        {
            throw new InvalidOperationException($"Seed {seed}: {string.Join(" ", faults)}");
        }

        var asked = problem.Requests.Sum(request => request.Windows[0].Bookable.DayNumber - request.Windows[0].Ship.DayNumber);
        var days = shape.Kits * shape.Days * (1 - ((double)shape.CalibrationDays / shape.CertificateDays));
        var (first, best, bound) = (outcome.FirstCome, outcome.Score, outcome.Bound);
        Print($"| {seed} | {asked / days:P0} | {outcome.TotalWeight} | {first.UnplacedWeight}, {first.Lateness} | {best.UnplacedWeight}, {best.Lateness}, {best.Moves} | {bound.UnplacedWeight}, {bound.Lateness} | {outcome.WeightGap:P2} | {outcome.LatenessGap:P0} | {(bound.Proven ? "yes" : "no")} | {outcome.Seconds:F0} | {used:F0} |");
        foreach (var more in outcome.OneMore)
        {
            Print($"  one more with {string.Join(", ", more.Can.Order(StringComparer.Ordinal))}: {more.PlacedMore} requests more, weight {more.WeightMore} (at most {more.WeightMoreAtMost}), lateness {-more.LatenessLess:+0;-0;0}");
        }

        return outcome;
    }

    private static void Summary(List<FleetOutcome> outcomes)
    {
        if (outcomes.Count == 0)
        {
            return;
        }

        var placed = outcomes.Select(outcome => (double)(outcome.TotalWeight - outcome.Score.UnplacedWeight)).ToList();
        var first = outcomes.Select(outcome => (double)(outcome.TotalWeight - outcome.FirstCome.UnplacedWeight)).ToList();
        Print($"At least as good as first come: {outcomes.Count(outcome => outcome.Score.CompareTo(outcome.FirstCome) <= 0)} of {outcomes.Count}; better: {outcomes.Count(outcome => outcome.Score.CompareTo(outcome.FirstCome) < 0)}.");
        Print($"Weight placed, mean: {placed.Average():F0} against {first.Average():F0} by first come, {(placed.Sum() / first.Sum()) - 1:P1} more. Left out, mean: {outcomes.Average(outcome => outcome.Score.UnplacedWeight):F1} against {outcomes.Average(outcome => outcome.FirstCome.UnplacedWeight):F1}.");
        Print($"Lateness, mean: {outcomes.Average(outcome => outcome.Score.Lateness):F0} against {outcomes.Average(outcome => outcome.FirstCome.Lateness):F0}.");
        Print($"Weight placed within 2 % of the bound: {outcomes.Count(outcome => outcome.WeightGap <= 0.02)} of {outcomes.Count}; gap mean {outcomes.Average(outcome => outcome.WeightGap):P2}, largest {outcomes.Max(outcome => outcome.WeightGap):P2}; left out as the bound says: {outcomes.Count(outcome => outcome.Score.UnplacedWeight == outcome.Bound.UnplacedWeight)}.");
        Print($"Load {Load()} at the end.");
    }

    private static void StopAfter(double processorSeconds, CancellationTokenSource stop)
    {
        if (Processor() >= processorSeconds)
        {
            stop.Cancel();
        }
    }

    private static double Processor()
    {
        using var own = Process.GetCurrentProcess();
        return own.TotalProcessorTime.TotalSeconds;
    }

    private static string Load() => File.Exists("/proc/loadavg") ? string.Join(' ', File.ReadAllText("/proc/loadavg").Split(' ').Take(3)) : "unknown";

    private static void Print(FormattableString line) => Console.WriteLine(FormattableString.Invariant(line));
}
