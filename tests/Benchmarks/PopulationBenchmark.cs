using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Simulation.Population;

namespace TeleHearing.Benchmarks;

/// <summary>How good the hearing test is on thousands of simulated ears: accuracy, masking, length, and whether listeners who cannot be relied on are seen.</summary>
/// <remarks>
/// Simulated listeners show that the machinery is right. They say nothing about people, whose repeatability alone has a standard uncertainty of 2.5 dB up to 4 kHz and 4 dB above (ISO 8253-1:2010, A.3.2).
/// Everything follows from the seed. One core is used, so that ears a minute are ears a minute a core.
/// </remarks>
internal static class PopulationBenchmark
{
    private const int OthersOneIn = 5;

    /// <summary>Runs it. 0 when it ran, 2 when the arguments are mistaken.</summary>
    public static async Task<int> Run(IReadOnlyList<string> args, CancellationToken cancellationToken)
    {
        var (options, fault) = PopulationOptions.Read(args);
        if (options is null)
        {
            await Console.Error.WriteLineAsync(fault);
            return 2;
        }

        // Tried before the work, so that nobody waits for a table that cannot be written.
        if (PopulationFolder.WhyNotWritable(options.Folder) is { } closed)
        {
            await Console.Error.WriteLineAsync($"Nothing was run, because results cannot be written to {options.Folder}: {closed} Give another folder with --out.");
            return 2;
        }

        var results = options.Methods.Select(method => Measure(options, method, cancellationToken)).ToList();
        var text = PopulationTable.Write(options, results);
        await Console.Out.WriteAsync(text);
        try
        {
            await PopulationFolder.WriteAsync(options, results, text, cancellationToken);
        }
        catch (Exception refused) when (refused is IOException or UnauthorizedAccessException)
        {
            await Console.Error.WriteLineAsync($"The results could not be written to {options.Folder}: {refused.Message}");
            return 2;
        }

        await Console.Out.WriteLineAsync($"Written to {Path.GetFullPath(options.Folder)}: report.html, result.json, table.txt and plots.");
        return 0;
    }

    internal static PopulationResult Measure(PopulationOptions options, PopulationMethod method, CancellationToken cancellationToken)
    {
        var start = TimeProvider.System.GetTimestamp();
        var groups = Enum.GetValues<MannerKind>().Select(manner => Group(options, method, manner, cancellationToken)).ToList();
        var minutes = TimeProvider.System.GetElapsedTime(start).TotalMinutes;
        return new PopulationResult(method, groups, groups.Sum(group => group.All.Ears) / minutes);
    }

    private static PopulationGroup Group(PopulationOptions options, PopulationMethod method, MannerKind manner, CancellationToken cancellationToken)
    {
        var people = Math.Max(1, options.Ears / 2 / (manner == MannerKind.Cooperative ? 1 : OthersOneIn));
        var protocol = method.Protocol.MaskingRules is null ? method.Protocol : method.Protocol with { MaskingRules = options.Rules.Name };
        if (manner == MannerKind.NoisyRoom)
        {
            // The limits for ears not covered cannot be met there.
            protocol = protocol with { Bone = BonePlacement.None, BoneHz = [] };
        }

        var rules = protocol.MaskingRules is null ? null : options.Rules;
        var all = new GroupTally(protocol.StepDb, rules);
        var byHearing = new SortedDictionary<HearingKind, GroupTally>();
        for (var i = 0; i < people; i++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            var random = PopulationDraw.Source(options.Seed, manner, i);
            var person = options.Listener is { } rows ? PopulationDraw.Given(rows, manner, random) : PopulationDraw.Draw(manner, random);
            var run = new PersonRun(person, protocol, random.Next());
            run.Finish();
            if (!byHearing.TryGetValue(person.Kind, out var tally))
            {
                byHearing[person.Kind] = tally = new GroupTally(protocol.StepDb, rules);
            }

            tally.Add(person, run.Done);
        }

        foreach (var tally in byHearing.Values)
        {
            all.Add(tally);
        }

        return new PopulationGroup(manner, all, byHearing);
    }
}
