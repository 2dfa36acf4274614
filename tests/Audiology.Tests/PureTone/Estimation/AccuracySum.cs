using System.Globalization;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

/// <summary>Adds up how far thresholds lie from the true ones, what they cost, and how often intervals hold.</summary>
internal sealed class AccuracySum
{
    private const double LowestDbHl = HearingLevels.LowestPresentedDbHl;
    private readonly List<double> _errors = [];
    private readonly List<double> _gridErrors = [];
    private readonly List<double> _medianErrors = [];
    private int _all;
    private int _covered;
    private int _notEstablished;
    private int _noResponses;
    private int _wrongNoResponses;
    private long _tones;
    private long _presentations;

    /// <summary>Tones for a threshold.</summary>
    public double Tones => (double)_tones / _all;

    /// <summary>Tones and silent trials for a threshold.</summary>
    public double Presentations => (double)_presentations / _all;

    /// <summary>Standard deviation of reported level less true threshold, dB.</summary>
    public double SdDb => Sd(_errors);

    /// <summary>Mean of reported level less the lowest level of the grid heard at least half the time, dB.</summary>
    public double GridMeanDb => _gridErrors.Average();

    /// <summary>Its standard deviation, dB.</summary>
    public double GridSdDb => Sd(_gridErrors);

    /// <summary>Mean of the estimate's median less the true threshold, dB.</summary>
    public double MedianMeanDb => _medianErrors.DefaultIfEmpty().Average();

    /// <summary>Its standard deviation, dB.</summary>
    public double MedianSdDb => _medianErrors.Count == 0 ? 0 : Sd(_medianErrors);

    /// <summary>Share of intervals that hold the true threshold.</summary>
    public double CoveredShare => _medianErrors.Count == 0 ? 0 : (double)_covered / _medianErrors.Count;

    public double NotEstablishedShare => (double)_notEstablished / _all;

    /// <summary>Share of "no response" where the threshold lay more than 10 dB below the limit, of all thresholds.</summary>
    public double WrongNoResponseShare => (double)_wrongNoResponses / _all;

    public double WithinFiveShare => WithinShare(5);

    public double WithinTenShare => WithinShare(10);

    public void Add(double truth, double limit, ThresholdOutcome outcome, ThresholdEstimate? estimate, int tones, int silences)
    {
        _all++;
        _tones += tones;
        _presentations += tones + silences;
        switch (outcome)
        {
            case ThresholdOutcome.Established established:
                _errors.Add(established.LevelDbHl - Math.Max(truth, LowestDbHl));
                _gridErrors.Add(established.LevelDbHl - Math.Max(HearingLevels.RoundUpToStep(truth), LowestDbHl));
                AddEstimate(truth, estimate);
                break;
            case ThresholdOutcome.NoResponseAtLimit:
                _noResponses++;
                _wrongNoResponses += truth < limit - 10 ? 1 : 0;
                break;
            default:
                _notEstablished++;
                break;
        }
    }

    public override string ToString() => string.Create(
        CultureInfo.InvariantCulture,
        $"{_all} thresholds, {Tones:0.00} tones, {Presentations:0.00} with silences; level less truth SD {SdDb:0.00} dB; against the grid {GridMeanDb:+0.00;-0.00} dB, SD {GridSdDb:0.00}, "
        + $"{100 * WithinFiveShare:0.00} % within 5, {100 * WithinTenShare:0.000} % within 10; no response {_noResponses} ({_wrongNoResponses} wrong), not established {_notEstablished}")
        + (_medianErrors.Count == 0 ? string.Empty : string.Create(
            CultureInfo.InvariantCulture,
            $"; median less truth {MedianMeanDb:+0.00;-0.00} dB, SD {MedianSdDb:0.00}; intervals of 90 % hold in {100 * CoveredShare:0.0} %"));

    private void AddEstimate(double truth, ThresholdEstimate? estimate)
    {
        if (estimate is null)
        {
            return;
        }

        // Below the lowest level nothing can be asked: there the median may lie anywhere. The interval is taken as it is.
        var lowest = LowestDbHl - 2.5;
        _medianErrors.Add(Math.Max(estimate.MedianDbHl, lowest) - Math.Max(truth, lowest));
        _covered += truth >= estimate.LowerDbHl && truth <= estimate.UpperDbHl ? 1 : 0;
    }

    private double WithinShare(double decibels) => _gridErrors.Count(error => Math.Abs(error) <= decibels) / (double)_gridErrors.Count;

    private static double Sd(List<double> values)
    {
        var mean = values.Average();
        return Math.Sqrt(values.Average(value => (value - mean) * (value - mean)));
    }
}
