using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Stages in the groups a coordinator thinks in; each has a shape and a colour of its own.</summary>
public enum KitGroup
{
    Shelf,
    Leaving,
    Out,
    AtSite,
    Back,
    Turnaround,
    Workshop,
    Gone,
}

/// <summary>Words for where a kit stands, what holds it, and what may be done with it.</summary>
public static class KitStageWords
{
    /// <summary>A stage.</summary>
    public static string Name(KitStage stage) => stage switch
    {
        KitStage.Draft => "not in service yet",
        KitStage.Commissioned => "in service, not released",
        KitStage.Available => "on the shelf",
        KitStage.Reserved => "promised",
        KitStage.Packed => "packed",
        KitStage.AwaitingPickup => "waits for the carrier",
        KitStage.InTransitOut => "on its way out",
        KitStage.Delivered => "delivered, not opened",
        KitStage.CheckedInAtSite => "at the site",
        KitStage.InUse => "in a session",
        KitStage.AwaitingReturn => "packed at the site",
        KitStage.InTransitBack => "on its way back",
        KitStage.Received => "back, nothing done yet",
        KitStage.Quarantine => "put aside",
        KitStage.Cleaning => "being cleaned",
        KitStage.Inspection => "being looked over",
        KitStage.Restock => "being filled up",
        KitStage.FunctionCheck => "being checked",
        KitStage.Repair => "in repair",
        KitStage.AtCalibration => "at the laboratory",
        KitStage.MissingParcel => "parcel missing",
        KitStage.Lost => "lost",
        KitStage.Stolen => "stolen",
        _ => "out of service",
    };

    /// <summary>The group a stage is in.</summary>
    public static KitGroup Group(KitStage stage) => stage switch
    {
        KitStage.Draft or KitStage.Commissioned or KitStage.Available => KitGroup.Shelf,
        KitStage.Reserved or KitStage.Packed or KitStage.AwaitingPickup => KitGroup.Leaving,
        KitStage.InTransitOut => KitGroup.Out,
        KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.InUse => KitGroup.AtSite,
        KitStage.AwaitingReturn or KitStage.InTransitBack => KitGroup.Back,
        KitStage.Received or KitStage.Quarantine or KitStage.Cleaning or KitStage.Inspection or KitStage.Restock or KitStage.FunctionCheck => KitGroup.Turnaround,
        KitStage.Repair or KitStage.AtCalibration => KitGroup.Workshop,
        _ => KitGroup.Gone,
    };

    /// <summary>The shape of a group, shown beside the words.</summary>
    public static string Mark(KitGroup group) => group switch
    {
        KitGroup.Shelf => "●",
        KitGroup.Leaving => "◐",
        KitGroup.Out => "▶",
        KitGroup.AtSite => "■",
        KitGroup.Back => "◀",
        KitGroup.Turnaround => "◆",
        KitGroup.Workshop => "✚",
        _ => "✕",
    };

    /// <summary>A group.</summary>
    public static string Name(KitGroup group) => group switch
    {
        KitGroup.Shelf => "on the shelf",
        KitGroup.Leaving => "promised or packed",
        KitGroup.Out => "on the way out",
        KitGroup.AtSite => "at a site",
        KitGroup.Back => "on the way back",
        KitGroup.Turnaround => "in turnaround",
        KitGroup.Workshop => "repair or laboratory",
        _ => "missing or out of service",
    };

    /// <summary>A step of the turnaround that is signed.</summary>
    public static string StepName(KitStage step) => step switch
    {
        KitStage.Cleaning => "Cleaning",
        KitStage.Inspection => "Inspection",
        KitStage.Restock => "Filling up",
        _ => Name(step),
    };

    /// <summary>A hold in a few words.</summary>
    public static string Name(KitHoldKind hold) => hold switch
    {
        KitHoldKind.CalibrationExpired => "calibration over",
        KitHoldKind.CalibrationWouldExpireOnLoan => "calibration ends on the loan",
        KitHoldKind.CheckFailed => "check failed",
        KitHoldKind.CleaningUnsigned => "cleaning not signed",
        KitHoldKind.ItemMissing => "something is missing",
        KitHoldKind.DataNotWiped => "not known to be wiped",
        KitHoldKind.SafetyNotice => "safety notice",
        KitHoldKind.FirmwareNotApproved => "program not approved",
        KitHoldKind.LoanPaperMissing => "loan paper not signed",
        KitHoldKind.BatterySuspect => "battery suspect",
        KitHoldKind.LookBackOpen => "look-back open",
        _ => "record doubtful",
    };

    /// <summary>A kind of work, as the heading of its lines.</summary>
    public static string Name(KitTaskKind task) => task switch
    {
        KitTaskKind.Ship => "Ship",
        KitTaskKind.Chase => "Chase",
        KitTaskKind.Receive => "Receive",
        KitTaskKind.Clean => "Clean",
        KitTaskKind.Check => "Check",
        KitTaskKind.Calibrate => "Calibrate",
        KitTaskKind.Repair => "Repair",
        KitTaskKind.Settle => "Settle",
        _ => "Wait",
    };

    /// <summary>What stretches of days in the timeline are.</summary>
    public static string Name(KitSpanKind span) => span switch
    {
        KitSpanKind.Packed => "packed",
        KitSpanKind.Out => "on the way out",
        KitSpanKind.AtSite => "at a site",
        KitSpanKind.Back => "on the way back",
        KitSpanKind.Turnaround => "turnaround",
        KitSpanKind.Calibration => "at the laboratory",
        KitSpanKind.Repair => "in repair",
        KitSpanKind.Gone => "missing, lost or stolen",
        KitSpanKind.Promised => "promised",
        KitSpanKind.PromisedTurnaround => "planned turnaround",
        KitSpanKind.Overdue => "overdue",
        KitSpanKind.Held => "held",
        KitSpanKind.Session => "session",
        _ => "calibration ends",
    };

    /// <summary>By when, against today.</summary>
    public static string By(DateOnly by, DateOnly today) => (by.DayNumber - today.DayNumber) switch
    {
        < -1 and var late => string.Create(CultureInfo.InvariantCulture, $"due {FormWords.Day(by)}, {-late} days late"),
        -1 => $"due {FormWords.Day(by)}, 1 day late",
        0 => "today",
        1 => "tomorrow",
        _ => $"by {by.ToString("ddd d MMM yyyy", CultureInfo.InvariantCulture)}",
    };

    /// <summary>What a carrier says.</summary>
    public static string Name(CarrierStatus status) => status switch
    {
        CarrierStatus.HandedOver => "taken over from the sender",
        CarrierStatus.Departed => "left a place of the carrier",
        CarrierStatus.UnderWay => "under way",
        CarrierStatus.Arrived => "reached a place of the carrier",
        CarrierStatus.DeliveryFailed => "delivery was tried and failed",
        _ => "handed over to the receiver",
    };

    /// <summary>Why a parcel stands as it does.</summary>
    public static string Name(CarrierReason reason) => reason switch
    {
        CarrierReason.None => "no reason given",
        CarrierReason.NobodyThere => "nobody was there",
        CarrierReason.AddressUnclear => "the address is unclear",
        CarrierReason.Refused => "it was not accepted",
        CarrierReason.Weather => "weather",
        CarrierReason.Customs => "customs",
        CarrierReason.Damaged => "damaged",
        CarrierReason.Held => "held by the carrier",
        _ => "another reason",
    };

    /// <summary>How an entry came about.</summary>
    public static string Name(EntryMeans means) => means switch
    {
        EntryMeans.Scanned => "scanned",
        EntryMeans.Reported => "reported",
        _ => "typed",
    };
}
