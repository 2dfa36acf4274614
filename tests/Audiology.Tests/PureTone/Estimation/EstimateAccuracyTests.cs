using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

/// <summary>The estimate beside the standard search on the same people: a quick version of the figures in docs/validation/estimation.md.</summary>
public sealed class EstimateAccuracyTests
{
    private const int People = 100;
    private static readonly CeilingRules _kit = CeilingRules.Usual(TransducerKind.SupraAural);

    [Fact]
    public void ItErrsNoMoreThanTheStandardSearchWithSixTenthsOfTheTonesAndItsIntervalsHold()
    {
        var (search, estimate) = (new Sum(), new Sum());
        for (var index = 0; index < People; index++)
        {
            Test(index, search, person => (_, _, settings, random) => new ThresholdSearch(settings, random));
            Test(index, estimate, person =>
            {
                var whole = new EarEstimation(person.AgeYears, person.Sex);
                return (ear, frequency, settings, random) => whole.Begin(ear, frequency, settings, random);
            });
        }

        var figures = $"search {search}; estimate {estimate}";
        Assert.True(estimate.SdDb <= search.SdDb && estimate.GridSdDb <= search.GridSdDb, figures);
        Assert.True(estimate.Tones <= 0.6 * search.Tones && estimate.Presentations <= 0.6 * search.Presentations, figures);
        Assert.True(estimate.CoveredShare is >= 0.87 and <= 0.93, figures);
        Assert.True(Math.Abs(estimate.GridMeanDb) <= 1 && Math.Abs(estimate.MedianMeanDb) <= 0.3, figures);
        Assert.True(estimate.NotEstablishedShare <= 0.003, figures);
        Assert.True(estimate.WithinTenShare >= 0.999, figures);
    }

    private static void Test(int index, Sum sum, Func<CooperativePerson, Func<Ear, AudiometricFrequency, SearchSettings, Random, IThresholdProcedure>> method)
    {
        var person = new CooperativePerson(seed: 20, index);
        var begin = method(person);
        var random = new Random(index);
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            foreach (var frequency in CooperativePerson.Frequencies.Select(hertz => AudiometricFrequency.FromHertz(hertz)))
            {
                var limit = _kit.HighestFor(TransducerKind.SupraAural, frequency)!.Value;
                var procedure = begin(ear, frequency, new SearchSettings(StoppingRule.TwoOfThree, -10, limit, null), random);
                var (outcome, log) = SearchDriver.Run(procedure, move => (move is SearchMove.PresentTone tone
                    ? person.Presses(ear, frequency.Hertz, tone.Level.Decibels)
                    : person.PressesInSilence()) ? TrialAnswer.Heard : TrialAnswer.NotHeard);
                sum.Add(person.Threshold(ear, frequency.Hertz), outcome, (procedure as ThresholdEstimation)?.Estimate, log);
            }
        }
    }

    private sealed class Sum
    {
        private readonly List<double> _errors = [];
        private readonly List<double> _gridErrors = [];
        private readonly List<double> _medianErrors = [];
        private int _all;
        private int _covered;
        private int _notEstablished;

        public int Tones { get; private set; }

        public int Presentations { get; private set; }

        public double SdDb => Sd(_errors);

        public double GridSdDb => Sd(_gridErrors);

        public double GridMeanDb => _gridErrors.Average();

        public double MedianMeanDb => _medianErrors.DefaultIfEmpty().Average();

        public double CoveredShare => (double)_covered / _medianErrors.Count;

        public double NotEstablishedShare => (double)_notEstablished / _all;

        public double WithinTenShare => _gridErrors.Count(error => Math.Abs(error) <= 10) / (double)_gridErrors.Count;

        public void Add(double truth, ThresholdOutcome outcome, ThresholdEstimate? estimate, IReadOnlyList<Step> log)
        {
            _all++;
            Presentations += log.Count;
            Tones += log.Count(step => step.ToneDbHl is not null);
            _notEstablished += outcome is ThresholdOutcome.NotEstablished ? 1 : 0;
            if (outcome is not ThresholdOutcome.Established established)
            {
                return;
            }

            _errors.Add(established.LevelDbHl - Math.Max(truth, -10));
            _gridErrors.Add(established.LevelDbHl - Math.Max(HearingLevels.RoundUpToStep(truth), -10));
            if (estimate is not null)
            {
                _medianErrors.Add(Math.Max(estimate.MedianDbHl, -12.5) - Math.Max(truth, -12.5));
                _covered += truth >= estimate.LowerDbHl && truth <= estimate.UpperDbHl ? 1 : 0;
            }
        }

        public override string ToString() => string.Create(
            CultureInfo.InvariantCulture,
            $"SD {SdDb:0.00} dB, against the grid {GridMeanDb:0.00} dB (SD {GridSdDb:0.00}), {100 * WithinTenShare:0.00} % within 10 dB, {(double)Tones / _all:0.00} tones, {(double)Presentations / _all:0.00} presentations, "
            + $"covered {100 * CoveredShare:0.0} %, median {MedianMeanDb:0.00} dB, {100 * NotEstablishedShare:0.00} % not established");

        private static double Sd(List<double> values)
        {
            var mean = values.Average();
            return Math.Sqrt(values.Average(value => (value - mean) * (value - mean)));
        }
    }
}
