using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Facts about the stages of a kit.</summary>
internal static class KitStages
{
    /// <summary>With a carrier or at a site, or nobody knows: away with a loan.</summary>
    public static bool IsAway(KitStage stage) => stage is KitStage.InTransitOut or KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.AwaitingReturn or KitStage.InTransitBack or KitStage.MissingParcel;

    /// <summary>Clean, checked and ready on the shelf, promised or not.</summary>
    public static bool OnShelf(KitStage stage) => stage is KitStage.Available or KitStage.Reserved;

    /// <summary>Closed for a loan and not gone yet.</summary>
    public static bool IsPacked(KitStage stage) => stage is KitStage.Packed or KitStage.AwaitingPickup;

    /// <summary>At the base and in hands: what is in the case can be counted there.</summary>
    public static bool AtBase(KitStage stage) => OnShelf(stage) || stage is KitStage.Draft or KitStage.Commissioned or KitStage.Repair or (>= KitStage.Received and <= KitStage.FunctionCheck);

    /// <summary>In hands between two sessions: what touched one person is cleaned there before it touches another.</summary>
    public static bool CleanedInPlace(KitStage stage) => OnShelf(stage) || ServesKnownEars(stage) || stage == KitStage.CheckedInAtSite;

    /// <summary>Cleaning lies ahead before it can leave again, or goes on.</summary>
    public static bool CleaningAhead(KitStage stage) => IsAway(stage) || stage is KitStage.InUse or KitStage.Received or KitStage.Quarantine or KitStage.Cleaning or KitStage.Lost or KitStage.Stolen;

    /// <summary>Filling up lies ahead before it can leave again, or goes on.</summary>
    public static bool RestockAhead(KitStage stage) => CleaningAhead(stage) || stage is KitStage.Inspection or KitStage.Restock or KitStage.Repair or KitStage.AtCalibration or KitStage.Draft or KitStage.Retired;

    /// <summary>A session with any person may use it.</summary>
    public static bool ServesAnybody(KitStage stage) => OnShelf(stage) || stage is KitStage.InTransitOut or KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.InUse;

    /// <summary>A known ear may listen to it besides: how else could it be found out whether it is right?</summary>
    public static bool ServesKnownEars(KitStage stage) => stage is KitStage.Commissioned or KitStage.Inspection or KitStage.FunctionCheck or KitStage.Repair;

    /// <summary>Out of service for good, or given up.</summary>
    public static bool IsGone(KitStage stage) => stage is KitStage.Lost or KitStage.Stolen or KitStage.Retired;

    /// <summary>Where it is, in a sentence that begins with "it is".</summary>
    public static string InWords(KitStage stage) => stage switch
    {
        KitStage.Draft => "entered and not in service yet",
        KitStage.Commissioned => "in service and not released yet",
        KitStage.Available => "on the shelf",
        KitStage.Reserved => "on the shelf, promised to a loan",
        KitStage.Packed => "packed for a loan",
        KitStage.AwaitingPickup => "waiting for the carrier",
        KitStage.InTransitOut => "with the carrier on its way out",
        KitStage.Delivered => "delivered at the site",
        KitStage.CheckedInAtSite => "at the site",
        KitStage.InUse => "in a session",
        KitStage.AwaitingReturn => "packed at the site for its way back",
        KitStage.InTransitBack => "with the carrier on its way back",
        KitStage.Received => "back and not cleaned yet",
        KitStage.Quarantine => "in quarantine",
        KitStage.Cleaning => "being cleaned",
        KitStage.Inspection => "being inspected",
        KitStage.Restock => "being filled up",
        KitStage.FunctionCheck => "waiting for its function check and release",
        KitStage.Repair => "in repair",
        KitStage.AtCalibration => "at the laboratory",
        KitStage.MissingParcel => "in a parcel that is missing",
        KitStage.Lost => "lost",
        KitStage.Stolen => "stolen",
        KitStage.Retired => "out of service for good",
        _ => stage.ToString(),
    };
}
