using TeleHearing.Benchmarks;
using TeleHearing.Benchmarks.HubLoad;

if (args is [Server.Verb, .. var served])
{
    return await Server.Run(served);
}

if (args is [LoadProcess.Verb])
{
    return await LoadProcess.Run();
}

if (args is ["hub", .. var hub])
{
    return await HubBenchmark.Run(hub, CancellationToken.None);
}

if (args is ["population", .. var population])
{
    return await PopulationBenchmark.Run(population, CancellationToken.None);
}

if (args is ["fleet-plan", .. var fleetPlan])
{
    return await FleetPlanBenchmark.Run(fleetPlan, CancellationToken.None);
}

if (args is ["faults", .. var faults])
{
    return await FaultBenchmark.Run(faults, CancellationToken.None);
}

var benchmarks = new Dictionary<string, Func<CancellationToken, Task>>(StringComparer.Ordinal)
{
    ["presentation"] = PresentationBenchmark.Run,
    ["bank"] = BankBenchmark.Run,
    ["synthesis"] = SynthesisBenchmark.Run,
    ["estimation"] = EstimationBenchmark.Run,
    ["estimation-figures"] = EstimationFigures.Run,
    ["start"] = StartBenchmark.Run,
    ["fleet-load"] = FleetLoadBenchmark.Run,
    ["verify"] = VerifyBenchmark.Run,
    ["command-cost"] = CommandCostBenchmark.Run,
};

var chosen = args.Length == 0 ? [.. benchmarks.Keys] : args;
if (chosen.FirstOrDefault(name => !benchmarks.ContainsKey(name)) is { } unknown)
{
    await Console.Error.WriteLineAsync($"There is no benchmark \"{unknown}\". Choose from: {string.Join(", ", benchmarks.Keys)}, {HubBenchmark.Usage}, {PopulationOptions.Usage}, {FleetPlanBenchmark.Usage}, or {FaultBenchmark.Usage}.");
    return 2;
}

foreach (var name in chosen)
{
    await benchmarks[name](CancellationToken.None);
}

return 0;
