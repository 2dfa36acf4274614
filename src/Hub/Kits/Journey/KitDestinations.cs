using Stateless.Reflection;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Where a trigger leads whose stage depends on the kit, in words for the diagram. The machine itself asks the kit.</summary>
internal static class KitDestinations
{
    /// <summary>The shelf, promised or not.</summary>
    public static DynamicStateInfos Shelf() => Infos((KitStage.Available, "no loan"), (KitStage.Reserved, "promised"));

    /// <summary>The leg a parcel was on.</summary>
    public static DynamicStateInfos Legs() => Infos((KitStage.InTransitOut, "on its way out"), (KitStage.InTransitBack, "on its way back"));

    /// <summary>Where a session leaves it.</summary>
    public static DynamicStateInfos AfterUse() =>
        Infos((KitStage.Available, "at the base, no loan"), (KitStage.Reserved, "at the base, promised"), (KitStage.CheckedInAtSite, "at a site"));

    private static DynamicStateInfos Infos(params IEnumerable<(KitStage Stage, string When)> stages)
    {
        var infos = new DynamicStateInfos();
        foreach (var (stage, when) in stages)
        {
            infos.Add(stage, when);
        }

        return infos;
    }
}
