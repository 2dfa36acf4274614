using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Kits.Wipes;

/// <summary>Journals that a kit laid aside and that were never confirmed: they stay, and hold the kit, until somebody at the clinic gives them up by lifting the hold. Pure.</summary>
internal static class LaidAside
{
    /// <summary>What holds a kit that attests some; nothing where it is held for it already.</summary>
    public static IReadOnlyList<KitFact> Of(KitState kit, KitWipe wipe) => wipe.LaidAside is not { } count || kit.HoldsByHand.ContainsKey(KitHoldKind.DataNotWiped)
        ? []
        :
        [
            new HoldPlaced(
                KitHoldKind.DataNotWiped,
                string.Create(CultureInfo.InvariantCulture, $"Journals laid aside on it: {count}. They hold what no hub has confirmed. If nobody can get at it, lift this hold: the kit then wipes them at its next link."),
                CaseReports.Screen(wipe.KitId)),
        ];

    /// <summary>Whether they were given up since: the kit's own hold was lifted by somebody, and it has not attested a wipe after that.</summary>
    public static bool GivenUp(KitState kit) => kit.History.Select(recorded => recorded.Fact).Aggregate((Held: false, GivenUp: false), (was, fact) => fact switch
    {
        HoldPlaced { Kind: KitHoldKind.DataNotWiped } hold when hold.By == CaseReports.Screen(kit.KitId) => (true, false),
        HoldLifted { Kind: KitHoldKind.DataNotWiped } => (false, was.Held || was.GivenUp),
        DataWiped => (false, false),
        _ => was,
    }).GivenUp;
}
