namespace TeleHearing.Audiology.PureTone;

/// <summary>Counts what happened on ascents and says when the stopping rule is met.</summary>
internal sealed class AscentTally(StoppingRule rule)
{
    // ISO 8253-1:2010, 6.2.3: three responses at one level within at most five ascents.
    private const int ResponsesNeededOfFive = 3;
    private const int AscentsOfASeries = 5;

    // ASHA 2005 (from memory): responses on at least half of the ascending presentations, two at least.
    private const int ResponsesNeededOfThree = 2;

    private readonly Dictionary<double, (int Presented, int Heard)> _levels = [];
    private int _ascents;

    /// <summary>Whether five ascents have ended without a threshold. Never under the short rule, which has no series.</summary>
    public bool SeriesFailed => rule == StoppingRule.ThreeOfFive && _ascents >= AscentsOfASeries;

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
        return rule == StoppingRule.ThreeOfFive
            ? responses >= ResponsesNeededOfFive
            : responses >= ResponsesNeededOfThree && 2 * responses >= presented;
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
    }
}
