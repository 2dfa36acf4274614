using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>Where a kit stands on its way from the shelf to a person and back.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<KitStage>))]
public enum KitStage
{
    /// <summary>Entered, not yet in service.</summary>
    Draft,

    /// <summary>In service, not yet checked and released.</summary>
    Commissioned,

    /// <summary>On the shelf, clean and checked: may be lent, or used at its base.</summary>
    Available,

    /// <summary>Promised to a loan.</summary>
    Reserved,

    /// <summary>Counted into its case for a loan.</summary>
    Packed,

    /// <summary>Closed and labelled, waiting for the carrier.</summary>
    AwaitingPickup,

    /// <summary>With the carrier, on its way out.</summary>
    InTransitOut,

    /// <summary>Handed over at the site, not opened.</summary>
    Delivered,

    /// <summary>Opened and counted at the site.</summary>
    CheckedInAtSite,

    /// <summary>In a session.</summary>
    InUse,

    /// <summary>Packed at the site, waiting for the carrier.</summary>
    AwaitingReturn,

    /// <summary>With the carrier, on its way back.</summary>
    InTransitBack,

    /// <summary>Back, nothing done yet.</summary>
    Received,

    /// <summary>Put aside for the hours the clinic asks for.</summary>
    Quarantine,

    /// <summary>Being cleaned.</summary>
    Cleaning,

    /// <summary>Being looked over.</summary>
    Inspection,

    /// <summary>Being filled up.</summary>
    Restock,

    /// <summary>Being checked before release.</summary>
    FunctionCheck,

    /// <summary>Being repaired.</summary>
    Repair,

    /// <summary>At the laboratory.</summary>
    AtCalibration,

    /// <summary>The carrier cannot say where it is.</summary>
    MissingParcel,

    /// <summary>Given up.</summary>
    Lost,

    /// <summary>Taken by somebody.</summary>
    Stolen,

    /// <summary>Out of service for good.</summary>
    Retired,
}
