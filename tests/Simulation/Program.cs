using System.Globalization;
using TeleHearing.Simulation;

// --seeds N          runs N seeds and says what they came to
// --from S           begins with seed S (1 when absent)
// --cores C          so many at a time (all when absent)
// --seed S           runs one seed
// --trace            prints what happened in it
var options = args;
int? Number(string name) => Array.IndexOf(options, name) is >= 0 and var at && at + 1 < options.Length && int.TryParse(options[at + 1], NumberStyles.Integer, CultureInfo.InvariantCulture, out var number) ? number : null;
void Say(FormattableString line) => Console.Out.WriteLine(FormattableString.Invariant(line));

static TimeSpan Elapsed(TimeSpan since) => Environment.CpuUsage.TotalTime - since;

void Tell(SeedResult result)
{
    Say($"seed {result.Seed}: {string.Join("; ", result.Faults)}");
    foreach (var violation in result.Violations)
    {
        Say($"  {violation.Rule}: {violation.What} ({violation.At.TotalSeconds:0.00} s)");
    }
}

if (Number("--seed") is { } seed)
{
    var result = SeedRun.One(seed);
    if (options.Contains("--trace"))
    {
        foreach (var line in result.Lines)
        {
            Console.Out.WriteLine(line);
        }
    }

    Tell(result);
    Say($"{result.Simulated.TotalSeconds:0} s in {result.Took.TotalMilliseconds:0} ms, {result.Steps} steps, trace {result.TraceHash:x16}, {result.Violations.Count} violations");
    return result.Violations.Count == 0 ? 0 : 1;
}

if (Number("--seeds") is not { } seeds)
{
    Say($"dotnet run --project tests/Simulation -- --seeds N [--from S] [--cores C]   or   --seed S [--trace]");
    return 2;
}

// Seeds end in another order than they began: up to here all of them are done, and a run that was broken off goes on from the next.
var doneUpTo = (Number("--from") ?? 1) - 1;
var doneBeyond = new HashSet<int>();
var (simulated, failed, ran) = (TimeSpan.Zero, 0, 0);
_ = TeleHearing.Simulation.Parts.Clinic.One;
var used = Environment.CpuUsage.TotalTime;
var rules = new SortedDictionary<string, int>(StringComparer.Ordinal);
SeedRun.Many(Number("--from") ?? 1, seeds, Number("--cores") ?? Environment.ProcessorCount, result =>
{
    (simulated, ran) = (simulated + result.Simulated, ran + 1);
    if (result.Violations.Count > 0)
    {
        failed++;
        Tell(result);
        foreach (var rule in result.Violations.Select(violation => violation.Rule).Distinct())
        {
            rules[rule] = rules.GetValueOrDefault(rule) + 1;
        }
    }

    doneBeyond.Add(result.Seed);
    while (doneBeyond.Remove(doneUpTo + 1))
    {
        doneUpTo++;
    }

    if (ran % 1000 == 0)
    {
        Say($"{ran} seeds, {failed} with violations, all up to {doneUpTo} done; {simulated.TotalHours:0.0} h of sessions in {Elapsed(used).TotalMinutes:0.0} min of cores");
    }
});
foreach (var (rule, count) in rules)
{
    Say($"{count} seeds against: {rule}");
}

var took = Elapsed(used);
Say($"{ran} seeds, {failed} with violations; {simulated.TotalHours:0.0} h of sessions in {took.TotalMinutes:0.0} min of cores, {simulated / took:0} times real time a core, {ran / took.TotalSeconds:0.0} seeds a second and core");
return failed == 0 ? 0 : 1;
