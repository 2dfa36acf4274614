using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>How far above the last tone the next may be: what every kit allows by its ceilings.</summary>
internal static class EstimateReach
{
    private static readonly CeilingRules _rules = new([]);

    /// <summary>Highest level that may follow, on the step, dB HL.</summary>
    /// <param name="previousDbHl">Level of the last tone heard to its end; absent when there was none.</param>
    /// <param name="stepDb">Step, dB.</param>
    public static int HighestAfter(double? previousDbHl, double stepDb)
    {
        var highest = previousDbHl is { } previous ? Math.Max(_rules.FreeRiseUpToDbHl, previous + _rules.LargestRiseDb) : _rules.FreeRiseUpToDbHl;
        return (int)HearingLevels.RoundDownToStep(highest, stepDb);
    }
}
