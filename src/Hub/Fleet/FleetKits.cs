using TeleHearing.Audiology.Levels;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet;

/// <summary>What the fleet needs to know of a kit, taken from its state. The only place that knows both. Pure.</summary>
internal static class FleetKits
{
    public static FleetKit Of(KitEntity row, KitState state) => new(
        state.KitId,
        row.Label,
        row.Where,
        true,
        Transducers(state),
        KitJudgement.HoldsUntil(state),
        state.Calibration?.Laboratory,
        false,
        []);

    private static IReadOnlyList<TransducerKind> Transducers(KitState state) =>
        state.Gear is not { } gear ? [] : gear.BoneVibrator is null ? [gear.TransducerKind] : [gear.TransducerKind, TransducerKind.BoneVibrator];
}
