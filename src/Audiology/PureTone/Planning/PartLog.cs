using TeleHearing.Audiology.Masking;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>The measurements of one part, as the plan looks at them.</summary>
internal sealed class PartLog
{
    /// <summary>How often a frequency without a threshold is tried. A design choice: a search has explained the task again by itself before.</summary>
    public const int MostAttempts = 2;

    /// <summary>After how many measurements in a row without a threshold a part is given up: three frequencies, each tried twice. A design choice.</summary>
    private const int GivenUpAfter = 3 * MostAttempts;

    private readonly List<Measurement> _measurements = [];
    private readonly List<Measurement> _estimates = [];

    public PartLog(IEnumerable<Measurement> done, PlanPart part, bool estimatesCount)
    {
        foreach (var one in done)
        {
            if (one.Ear == part.Ear && one.Route == part.Route && (one.Masking is not null) == part.Masked)
            {
                (one.Method == ThresholdMethod.Estimate && !estimatesCount ? _estimates : _measurements).Add(one);
            }
        }
    }

    /// <summary>Everything measured, estimates aside, in order.</summary>
    public IReadOnlyList<Measurement> All => _measurements;

    /// <summary>Whether nothing was measured, estimates aside.</summary>
    public bool IsEmpty => _measurements.Count == 0;

    /// <summary>Whether so many frequencies in a row came to nothing that going on would only tire the person.</summary>
    public bool GivenUp => _measurements.Count >= GivenUpAfter && _measurements.TakeLast(GivenUpAfter).All(CameToNothing);

    /// <summary>Frequencies measured, in the order of their first measurement.</summary>
    public IEnumerable<int> Frequencies => _measurements.Select(one => one.FrequencyHz).Distinct();

    /// <summary>Whether a quick look was taken at a frequency.</summary>
    public bool Estimated(int frequencyHz) => _estimates.Exists(one => one.FrequencyHz == frequencyHz);

    /// <summary>The level of the quick look; absent without one.</summary>
    public double? EstimateDbHl(int frequencyHz) => (_estimates.FindLast(one => one.FrequencyHz == frequencyHz)?.Outcome as ThresholdOutcome.Established)?.LevelDbHl;

    /// <summary>Everything measured at a frequency, in order.</summary>
    public List<Measurement> At(int frequencyHz) => _measurements.FindAll(one => one.FrequencyHz == frequencyHz);

    /// <summary>Outcomes at a frequency that say something about the ear, in order.</summary>
    public List<ThresholdOutcome> Results(int frequencyHz) => [.. At(frequencyHz).Where(HasResult).Select(one => one.Outcome)];

    /// <summary>The outcome that holds at each frequency: the last that says something.</summary>
    public Dictionary<int, ThresholdOutcome> Current()
    {
        var current = new Dictionary<int, ThresholdOutcome>();
        foreach (var one in _measurements.Where(HasResult))
        {
            current[one.FrequencyHz] = one.Outcome;
        }

        return current;
    }

    /// <summary>Whether a frequency needs no more tries for a number of results: it has them, or was tried in vain as often as is sensible after the one before.</summary>
    public bool Settled(int frequencyHz, int results)
    {
        var found = 0;
        var failed = 0;
        foreach (var one in _measurements)
        {
            if (one.FrequencyHz == frequencyHz)
            {
                (found, failed) = HasResult(one) ? (found + 1, 0) : (found, failed + 1);
            }
        }

        return found >= results || failed >= MostAttempts;
    }

    /// <summary>Whether the last try at a frequency came to nothing.</summary>
    public bool LastFailed(int frequencyHz) => _measurements.FindLast(one => one.FrequencyHz == frequencyHz) is { } last && !HasResult(last);

    // A dilemma, or a masker at its limit, is a finding about the head and the gear: the person did not fail.
    private static bool CameToNothing(Measurement one) => !HasResult(one) && one.Masking is null or { Verdict: MaskingVerdict.NotSettled };

    private static bool HasResult(Measurement one) => one.Outcome is not ThresholdOutcome.NotEstablished;
}
