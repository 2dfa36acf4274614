using System.Diagnostics;
using TeleHearing.Simulation.Faults;
using TeleHearing.Simulation.Invariants;
using TeleHearing.Simulation.Parts;

namespace TeleHearing.Simulation;

/// <summary>What became of a seed.</summary>
/// <param name="Seed">The seed.</param>
/// <param name="Faults">What went wrong in it.</param>
/// <param name="Violations">What must never be and was.</param>
/// <param name="Simulated">Time that passed in the world.</param>
/// <param name="Took">Time it took to simulate, of one core.</param>
/// <param name="Steps">How much happened.</param>
/// <param name="TraceHash">Of the trace.</param>
/// <param name="Lines">The trace.</param>
internal sealed record SeedResult(int Seed, IReadOnlyList<Fault> Faults, IReadOnlyList<Violation> Violations, TimeSpan Simulated, TimeSpan Took, long Steps, ulong TraceHash, IReadOnlyList<string> Lines);

/// <summary>Runs seeds, each alone on its thread.</summary>
internal static class SeedRun
{
    /// <summary>Runs one.</summary>
    public static SeedResult One(int seed, IReadOnlyList<Fault>? faults = null, Planted? planted = null)
    {
        _ = Clinic.One;
        var probe = Folders.Make();
        try
        {
            return One(seed, probe, faults, planted);
        }
        finally
        {
            Folders.Remove(probe);
        }
    }

    /// <summary>Runs many, on as many threads as there are cores.</summary>
    /// <param name="from">First seed.</param>
    /// <param name="count">How many.</param>
    /// <param name="cores">How many at a time.</param>
    /// <param name="done">Told of each, one at a time.</param>
    public static void Many(int from, int count, int cores, Action<SeedResult> done)
    {
        _ = Clinic.One;
        var next = from - 1;
        var telling = new Lock();
        var workers = Enumerable.Range(0, cores).Select(_ => new Thread(() =>
        {
            var probe = Folders.Make();
            for (var seed = Interlocked.Increment(ref next); seed < from + count; seed = Interlocked.Increment(ref next))
            {
                var result = One(seed, probe, null, null);
                lock (telling)
                {
                    done(result);
                }
            }

            Folders.Remove(probe);
        })).ToList();
        workers.ForEach(worker => worker.Start());
        workers.ForEach(worker => worker.Join());
    }

    private static SeedResult One(int seed, string probe, IReadOnlyList<Fault>? faults, Planted? planted)
    {
        var began = Stopwatch.GetTimestamp();
        using var world = new World(seed, probe, faults, planted);
        world.Run();
        return new SeedResult(seed, world.Faults, world.Violations, world.Loop.Now, Stopwatch.GetElapsedTime(began), world.Loop.Steps, world.Trace.Hash(), world.Trace.Lines);
    }
}
