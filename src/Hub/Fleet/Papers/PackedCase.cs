using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Fleet.Papers;

/// <summary>How a case was packed for a loan.</summary>
/// <param name="On">Hub time it was recorded.</param>
/// <param name="Counts">What went into it.</param>
/// <param name="Photo">Photo of the open case, by its id; absent when none was taken.</param>
internal sealed record PackedCase(DateTimeOffset On, IReadOnlyList<ItemCount> Counts, string? Photo)
{
    /// <summary>The last packing for a loan that was not taken back; absent while there is none. Read from the kit's history, so that a later loan of the same kit changes nothing on the paper of this one.</summary>
    public static PackedCase? Of(KitState state, LoanId loanId)
    {
        var takenBack = state.Corrections.Where(correction => correction.TakesBack).Select(correction => correction.Sequence).ToHashSet();
        return state.History
            .Where(recorded => recorded.Fact is KitPacked packed && packed.LoanId == loanId && !takenBack.Contains(recorded.Sequence))
            .Select(recorded => (recorded.At, Fact: (KitPacked)recorded.Fact))
            .Select(recorded => new PackedCase(recorded.At, recorded.Fact.Counts, recorded.Fact.Photo))
            .LastOrDefault();
    }
}
