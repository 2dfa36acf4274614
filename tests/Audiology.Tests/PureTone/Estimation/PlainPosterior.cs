using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

/// <summary>The posterior as the formulae have it: one number at a time, nothing summed out beforehand, no table.</summary>
internal sealed class PlainPosterior
{
    private readonly List<(double Threshold, PsychometricFunction Listener)> _points = [];
    private double[] _weights;

    public PlainPosterior(EstimateGrid grid, Func<double, double> prior, ReadOnlySpan<double> listeners)
    {
        var weights = new List<double>();
        for (var i = 0; i < grid.Thresholds; i++)
        {
            var listener = 0;
            foreach (var spread in grid.SpreadsDb)
            {
                foreach (var lapse in grid.LapseRates)
                {
                    foreach (var guess in grid.FalseAlarmRates)
                    {
                        _points.Add((grid.ThresholdDb(i), new PsychometricFunction(grid.ThresholdDb(i), spread, lapse, guess)));
                        weights.Add(prior(grid.ThresholdDb(i)) * listeners[listener++]);
                    }
                }
            }
        }

        _weights = Scaled(weights);
    }

    public void Add(double levelDbHl, bool heard) =>
        _weights = Scaled(_points.Zip(_weights, (point, weight) => weight * Likelihood(point.Listener, levelDbHl, heard)));

    public double[] Marginal() =>
        [.. _points.Zip(_weights).GroupBy(pair => pair.First.Threshold).OrderBy(group => group.Key).Select(group => group.Sum(pair => pair.Second))];

    public double Information(double levelDbHl)
    {
        var all = 0.0;
        var known = 0.0;
        foreach (var group in _points.Zip(_weights).GroupBy(pair => pair.First.Threshold))
        {
            var weight = group.Sum(pair => pair.Second);
            var yes = group.Sum(pair => pair.Second * pair.First.Listener.Probability(levelDbHl));
            all += yes;
            known += weight > 0 ? weight * Entropy(yes / weight) : 0;
        }

        return Entropy(all) - known;
    }

    private static double Likelihood(PsychometricFunction listener, double levelDbHl, bool heard) =>
        heard ? listener.Probability(levelDbHl) : 1 - listener.Probability(levelDbHl);

    private static double Entropy(double p) => Term(p) + Term(1 - p);

    private static double Term(double p) => p <= 0 ? 0 : -p * Math.Log(p);

    private static double[] Scaled(IEnumerable<double> weights)
    {
        var all = weights.ToArray();
        var sum = all.Sum();
        return [.. all.Select(weight => weight / sum)];
    }
}
