using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions;

/// <summary>Which of several measurements of one ear, route and frequency stands. Pure.</summary>
/// <remarks>
/// A masked one that came to a level, a dilemma or the masker's limit stands before any without a masker, for the other ear may have answered for those: a dilemma says that this ear's
/// threshold is not known, and an unmasked level in its place would be read as if it were. A masked one that did not settle says nothing of that, and is tried again.
/// A search stands before an estimate, which is a quick look; of equals the last. The rest stays on record as superseded.
/// </remarks>
internal static class StandingThresholds
{
    /// <summary>The measurements that stand, in the order in which each place was first measured, and the others in order.</summary>
    public static (IReadOnlyList<ThresholdRecord> Standing, IReadOnlyList<ThresholdRecord> Superseded) Of(IReadOnlyList<ThresholdRecord> all)
    {
        var standing = all.GroupBy(threshold => (threshold.Ear, threshold.Route, threshold.FrequencyHz)).Select(Choose).ToList();
        var chosen = standing.ToHashSet(ReferenceEqualityComparer.Instance);
        return (standing, [.. all.Where(threshold => !chosen.Contains(threshold))]);
    }

    private static ThresholdRecord Choose(IEnumerable<ThresholdRecord> group) => group.Aggregate((best, next) => Rank(next) >= Rank(best) ? next : best);

    private static int Rank(ThresholdRecord threshold) => threshold switch
    {
        { Masking.Verdict: not MaskingVerdict.NotSettled } => 3,
        { Masking: null, Method: not ThresholdMethod.Estimate } => 2,
        { Masking: null } => 1,
        _ => 0,
    };
}
