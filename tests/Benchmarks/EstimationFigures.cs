using System.Globalization;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Tests.PureTone.Estimation;

namespace TeleHearing.Benchmarks;

/// <summary>The estimate beside the standard search on 10,000 ears a seed. The people are those of the test of accuracy, of which this is the long version.</summary>
internal static class EstimationFigures
{
    private const int People = 5000;
    private static readonly int[] _seeds = [101, 102, 103];

    public static Task Run(CancellationToken cancellationToken)
    {
        foreach (var seed in _seeds)
        {
            cancellationToken.ThrowIfCancellationRequested();
            var start = TimeProvider.System.GetTimestamp();
            var (search, estimate) = EstimateAccuracy.Run(seed, People);
            Print($"seed {seed}, {2 * People} ears, both methods in {TimeProvider.System.GetElapsedTime(start).TotalSeconds:0} s");
            Print($"search    {search}");
            Print($"estimate  {estimate}");
            Print($"tones {100 * estimate.Tones / search.Tones:0.0} %, with silences {100 * estimate.Presentations / search.Presentations:0.0} % of the search's");
        }

        var (_, unknown) = EstimateAccuracy.Run(_seeds[0], People / 5, ageKnown: false);
        Print($"age and sex unknown, seed {_seeds[0]}, {2 * People / 5} ears");
        Print($"estimate  {unknown}");
        var (full, besideFull) = EstimateAccuracy.Run(_seeds[0], People / 5, rule: StoppingRule.ThreeOfFive);
        Print($"beside the full rule, seed {_seeds[0]}, {2 * People / 5} ears");
        Print($"search    {full}");
        Print($"estimate  {besideFull}");
        return Task.CompletedTask;
    }

    private static void Print(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));
}
