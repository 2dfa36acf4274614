namespace TeleHearing.Audiology.PureTone;

/// <summary>Counts what happened on ascents and says when the stopping rule is met.</summary>
internal sealed class AscentTally(StoppingRule rule)
{
    // ISO 8253-1:2010, 6.2.3, full form: three responses at one level within at most five ascents.
    private const int ResponsesNeededOfFive = 3;
    private const int AscentsOfAFullSeries = 5;

    // ISO 8253-1:2010, 6.2.3, short form: two responses at one level within at most three ascents.
    // ASHA 2005 (from memory): responses on at least half of the ascending presentations, two at least.
    private const int ResponsesNeededOfThree = 2;
    private const int AscentsOfAShortSeries = 3;

    private readonly Dictionary<double, (int Presented, int Heard)> _levels = [];
    private int _ascents;
    private double _lowestDbHl = double.PositiveInfinity;
    private double _highestDbHl = double.NegativeInfinity;

    /// <summary>Whether the ascents of a series have ended without a threshold. Never under the rule of ASHA 2005, which has no series.</summary>
    public bool SeriesFailed => rule switch
    {
        StoppingRule.ThreeOfFive => _ascents >= AscentsOfAFullSeries,
        StoppingRule.TwoOfThreeAscents => _ascents >= AscentsOfAShortSeries,
        _ => false,
    };

    /// <summary>Highest less lowest level at which an ascent of this series ended in a response, dB.</summary>
    public double SpanDb => _ascents == 0 ? 0 : _highestDbHl - _lowestDbHl;

    /// <summary>Adds an ascending presentation. True when a response at this level meets the rule: it is then the lowest level that does.</summary>
    public bool Add(double levelDbHl, bool heard)
    {
        var (presented, responses) = _levels.GetValueOrDefault(levelDbHl);
        _levels[levelDbHl] = (++presented, heard ? ++responses : responses);
        if (!heard)
        {
            return false;
        }

        _ascents++;
        _lowestDbHl = Math.Min(_lowestDbHl, levelDbHl);
        _highestDbHl = Math.Max(_highestDbHl, levelDbHl);

        // More than half of the ascents, as ISO 8253-1 asks for, is what these numbers are: two of at most three, three of at most five.
        return rule switch
        {
            StoppingRule.ThreeOfFive => responses >= ResponsesNeededOfFive,
            StoppingRule.TwoOfThreeAscents => responses >= ResponsesNeededOfThree,
            _ => responses >= ResponsesNeededOfThree && 2 * responses >= presented,
        };
    }

    /// <summary>Whether ascending presentations at a level were missed twice or more, and more often than heard.</summary>
    public bool MostlyMissedAt(double levelDbHl)
    {
        var (presented, heard) = _levels.GetValueOrDefault(levelDbHl);
        return presented - heard >= 2 && 2 * heard < presented;
    }

    /// <summary>Forgets the ascents of a series that failed.</summary>
    public void BeginSeries()
    {
        _levels.Clear();
        _ascents = 0;
        (_lowestDbHl, _highestDbHl) = (double.PositiveInfinity, double.NegativeInfinity);
    }
}
