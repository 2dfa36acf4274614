using System.Globalization;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>Counts how far outcomes lie from true thresholds.</summary>
/// <remarks>
/// A true threshold above the limit must be reported as no response. One at the limit is a toss-up: both the limit and no response at it are right. Below the
/// limit only an established threshold is, and no response counts as more than 10 dB off.
/// </remarks>
internal sealed class AccuracyTally
{
    private readonly Dictionary<string, int> _offByMoreThanFive = [];
    private int _total;
    private int _withinFive;
    private int _withinTen;
    private int _beyondLimit;
    private int _beyondLimitReported;
    private long _tones;
    private double _sum;
    private int _established;

    public void Add(string place, double truth, double limit, ThresholdOutcome outcome, int tones)
    {
        _tones += tones;
        if (truth > limit)
        {
            _beyondLimit++;
            _beyondLimitReported += outcome == new ThresholdOutcome.NoResponseAtLimit(limit) ? 1 : 0;
            return;
        }

        _total++;
        var error = outcome switch
        {
            ThresholdOutcome.Established established => established.LevelDbHl - truth,
            ThresholdOutcome.NoResponseAtLimit when truth == limit => 0,
            _ => double.PositiveInfinity,
        };
        if (outcome is ThresholdOutcome.Established)
        {
            _sum += error;
            _established++;
        }

        _withinFive += Math.Abs(error) <= 5 ? 1 : 0;
        _withinTen += Math.Abs(error) <= 10 ? 1 : 0;
        if (Math.Abs(error) > 5)
        {
            _offByMoreThanFive[$"{place} {truth}"] = _offByMoreThanFive.GetValueOrDefault($"{place} {truth}") + 1;
        }
    }

    public void AssertGood()
    {
        Assert.True(_withinFive >= 0.97 * _total, ToString());
        Assert.True(_withinTen == _total, ToString());
        Assert.True(_beyondLimitReported == _beyondLimit, ToString());
    }

    public override string ToString() => string.Create(
        CultureInfo.InvariantCulture,
        $"{_withinFive} of {_total} within 5 dB ({100.0 * _withinFive / _total:0.00} %), {_total - _withinTen} over 10 dB, mean error {_sum / _established:0.00} dB, "
        + $"{_beyondLimitReported} of {_beyondLimit} beyond the limit reported as no response, {(double)_tones / (_total + _beyondLimit):0.0} tones each; "
        + $"over 5 dB at: {string.Join(", ", _offByMoreThanFive.OrderByDescending(pair => pair.Value).Select(pair => $"{pair.Key} ({pair.Value})"))}");
}
