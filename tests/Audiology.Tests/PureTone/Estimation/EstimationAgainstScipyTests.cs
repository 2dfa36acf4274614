using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Testing;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

/// <summary>The posterior, the expected information and the conditioned Gaussian against numpy and scipy, which share no code with the project.</summary>
public sealed class EstimationAgainstScipyTests
{
    private static readonly (int Level, bool Silence, bool Heard)[] _answers =
        [(30, false, true), (10, false, false), (10, true, false), (20, false, true), (15, false, false), (15, true, true), (20, false, true), (55, false, false), (15, false, true)];

    [Fact]
    public async Task EveryNumberIsThatOfScipy()
    {
        var grid = EstimateGrid.Usual;
        var posterior = new ThresholdPosterior(grid);
        var thresholds = Enumerable.Range(0, grid.Thresholds).Select(grid.ThresholdDb).ToArray();
        var prior = thresholds.Select(threshold => EstimatePrior.Wide.Density(threshold)).ToArray();
        int[] levels = [.. Enumerable.Range(-2, 27).Select(step => 5 * step)];
        KnownThreshold[] known = [new(Ear.Right, 1000, 20, 2.5), new(Ear.Right, 4000, 55, 3), new(Ear.Left, 2000, 30, 2)];
        var hearing = HearingClass.Of(62, Sex.Male)[0];
        using var scipy = new ScipyCheck();
        var expected = await scipy.RunAsync<Expected>(
            "PureTone/Estimation/estimation.py",
            new
            {
                thresholds,
                spreads = grid.SpreadsDb,
                lapses = grid.LapseRates,
                guesses = grid.FalseAlarmRates,
                prior,
                listeners = ListenerBelief.Unknown.Weights.ToArray(),
                answers = _answers.Select(answer => new { level = answer.Level, silence = answer.Silence, heard = answer.Heard }),
                levels,
                covariance = known.Select((one, i) => known.Select((other, j) =>
                    Covariance(hearing, one.Ear, one.FrequencyHz, other.Ear, other.FrequencyHz) + (i == j ? one.SdDb * one.SdDb : 0))),
                across = known.Select(one => Covariance(hearing, one.Ear, one.FrequencyHz, Ear.Right, 2000)),
                deviations = known.Select(one => one.MeanDbHl - hearing.At(one.FrequencyHz).MeanDb),
                variance = hearing.At(2000).SdDb * hearing.At(2000).SdDb,
            },
            TestContext.Current.CancellationToken);

        posterior.Begin(prior, ListenerBelief.Unknown.Weights);
        for (var i = 0; i < _answers.Length; i++)
        {
            if (_answers[i].Silence)
            {
                posterior.AddSilence(_answers[i].Heard);
            }
            else
            {
                posterior.AddTone(_answers[i].Level, _answers[i].Heard);
            }

            // The project's normal distribution is good to 7.5e-8 (Abramowitz and Stegun 26.2.17).
            AssertClose(expected.Marginals[i], posterior.Marginal.ToArray(), 1e-6);
            AssertClose(expected.Information[i], levels.Select(posterior.Information), 1e-6);
        }

        var fit = ClassFit.Of(hearing, Ear.Right, 2000, known);
        Assert.Equal(hearing.At(2000).MeanDb + expected.Mean, fit.MeanDb, 1e-6);
        Assert.Equal(expected.Variance, fit.SdDb * fit.SdDb, 1e-6);
        Assert.Equal(expected.LogEvidence, fit.LogEvidence, 1e-6);
    }

    private static double Covariance(HearingClass hearing, Ear ear, int hertz, Ear otherEar, int otherHertz) =>
        hearing.Correlation(ear, hertz, otherEar, otherHertz) * hearing.At(hertz).SdDb * hearing.At(otherHertz).SdDb;

    private static void AssertClose(IEnumerable<double> expected, IEnumerable<double> actual, double tolerance) =>
        Assert.All(expected.Zip(actual), pair => Assert.Equal(pair.First, pair.Second, tolerance));

    private sealed record Expected(IReadOnlyList<double[]> Marginals, IReadOnlyList<double[]> Information, double Mean, double Variance, double LogEvidence);
}
