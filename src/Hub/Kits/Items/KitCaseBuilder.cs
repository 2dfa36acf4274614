using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Makes what a kit may know of its own case. Pure.</summary>
internal static class KitCaseBuilder
{
    public static KitCase Of(KitState state)
    {
        var loan = state.LoanInHand;
        var packed = loan is null ? null : state.Counts.LastOrDefault(count => count.Occasion == CountOccasion.Packed);
        var here = packed is null ? null : state.Counts.LastOrDefault(count => count.Occasion == CountOccasion.CheckedIn && count.At >= packed.At);
        return new KitCase(
            state.KitId,
            state.Stage,
            state.Items,
            packed,
            here,
            loan?.DueBack,
            [],
            loan is not null && state.Items.Any(item => item.Battery is not null));
    }
}
