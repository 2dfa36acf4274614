using System.Globalization;
using System.Runtime.Intrinsics;
using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks;

/// <summary>One update of the posterior and the choice of the next tone, at the largest grid: every point, and every level from -10 to 120 dB HL in steps of 1 dB.</summary>
/// <remarks>
/// numpy does the same arithmetic on the same points in the same run: the same table of Phi made beforehand, the same sums taken out first. That both come to the same
/// probabilities, information and level is checked before a time counts. The best of many rounds counts on both sides, and numpy takes its turn before and after.
/// </remarks>
internal static class EstimationBenchmark
{
    private const int Rounds = 2000;
    private const int NumpyRounds = 300;
    private const int LowestDbHl = -10;
    private const int HighestDbHl = 120;
    private const int ToneDbHl = 30;
    private const double AllowedMs = 10;

    // Both sides compute Phi by formulae of their own, the project's to 7.5e-8.
    private const double AllowedDifference = 1e-6;

    public static async Task Run(CancellationToken cancellationToken)
    {
        var grid = EstimateGrid.Usual;
        int[] thresholds = [.. Enumerable.Range(0, grid.Thresholds).Select(grid.ThresholdDb)];
        int[] levels = [.. Enumerable.Range(LowestDbHl, HighestDbHl - LowestDbHl + 1)];
        double[] prior = [.. thresholds.Select(threshold => EstimatePrior.Wide.Density(threshold) + 1e-6)];
        var listeners = ListenerBelief.Unknown.Weights.ToArray();
        using var python = new ScipyCheck();
        var input = new
        {
            thresholds,
            levels,
            spreads = grid.SpreadsDb,
            lapses = grid.LapseRates,
            guesses = grid.FalseAlarmRates,
            prior,
            listeners,
            tone = ToneDbHl - LowestDbHl,
            rounds = NumpyRounds,
        };
        var baseline = await python.RunAsync<Baseline>("estimation_numpy.py", input, cancellationToken);

        var posterior = new ThresholdPosterior(grid);
        var telling = new TellingLevel(posterior, 1);
        var seconds = double.PositiveInfinity;
        var chosen = 0;
        for (var round = 0; round < Rounds; round++)
        {
            posterior.Begin(prior, listeners);
            var start = TimeProvider.System.GetTimestamp();
            posterior.AddTone(ToneDbHl, heard: true);
            chosen = telling.Choose(LowestDbHl, HighestDbHl);
            seconds = Math.Min(seconds, TimeProvider.System.GetElapsedTime(start).TotalSeconds);
        }

        Check(baseline, posterior, levels, chosen);
        var again = await python.RunAsync<Baseline>("estimation_numpy.py", input, cancellationToken);
        var numpySeconds = Math.Min(baseline.Seconds, again.Seconds);

        Print($"one Bayesian update and choice, {grid.Thresholds} thresholds x {grid.Listeners} listeners = {grid.Thresholds * grid.Listeners} points, {levels.Length} levels, one core");
        Print($"CPU flags: {CpuFlags.Supported}; vectors of 512 bits {(Vector512.IsHardwareAccelerated ? "whole" : "in parts")}");
        Print($"numpy {baseline.Version}, the same arithmetic {numpySeconds * 1000,8:0.000} ms");
        Print($"update and choice                   {seconds * 1000,8:0.000} ms   {numpySeconds / seconds,6:0.0} times numpy   ({(seconds * 1000 <= AllowedMs ? "within" : "OVER")} {AllowedMs} ms)");
    }

    private static void Check(Baseline baseline, ThresholdPosterior posterior, int[] levels, int chosen)
    {
        var marginals = baseline.Marginal.Zip(posterior.Marginal.ToArray());
        var information = baseline.Information.Zip(levels.Select(posterior.Information));
        if (marginals.Concat(information).Any(pair => !(Math.Abs(pair.First - pair.Second) <= AllowedDifference)) || levels[baseline.Chosen] != chosen)
        {
            throw new InvalidOperationException("The posterior differs from numpy's; the times compare nothing.");
        }
    }

    private static void Print(FormattableString line) => Console.WriteLine(line.ToString(CultureInfo.InvariantCulture));

    private sealed record Baseline(double Seconds, IReadOnlyList<double> Marginal, IReadOnlyList<double> Information, int Chosen, string Version);
}
