using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>What happened to a kit on its way, as lines of its history.</summary>
internal static class JourneyWords
{
    /// <summary>The line; absent when the fact is none of its way.</summary>
    public static string? Of(KitFact fact) => fact switch
    {
        KitDrafted f => $"{f.By.Name} entered the kit. It is not in service yet.",
        KitCommissioned f => $"{f.By.Name} took the kit into service.",
        KitReleased f => $"{f.By.Name} released the kit.",
        KitRetired f => $"{f.By.Name} took the kit out of service for good: {f.Reason}",
        HoldPlaced f => $"{f.By.Name} holds the kit: {KitHolds.Name(f.Kind).ToLowerInvariant()}. {f.Reason}",
        HoldLifted f => $"{f.By.Name} lifted a hold: {KitHolds.Name(f.Kind).ToLowerInvariant()}. {f.Reason}",
        KitReserved f => $"{f.By.Name} promised the kit from {Day(f.From)} to {Day(f.DueBack)}: {f.Place}.",
        LoanCalledOff f => $"{f.By.Name} called a loan off: {f.Reason}",
        LoanExtended f => $"{f.By.Name} extended the loan to {Day(f.DueBack)}: {f.Reason}",
        LoanPaperSigned f => $"The loan paper was signed by {f.SignedBy}{(f.Capacity is { } capacity ? $" ({capacity})" : string.Empty)}{(f.Text is { } text ? $", consent text {text.Version} ({text.Language})" : string.Empty)}, recorded by {f.By.Name}.",
        LoanConsentTakenBack f => $"Consent to the loan was taken back by {f.TakenBackBy.InWords()}, recorded by {f.By.Name}: {f.Reason}",
        ReminderTaken f => $"{f.By.Name} took a step about the return: {f.Step}.{Note(f.Note)}",
        KitPacked f => $"{f.By.Name} counted and packed the case{Seal(f.Seal)}.",
        KitStaged f => $"{f.By.Name} put the parcel ready for the carrier.",
        KitSent { Leg: KitLeg.Out } f => $"{f.By.Name} recorded that the kit was handed to the carrier on {Day(f.On)}{Tracking(f.Tracking)}.",
        KitSent f => $"{f.By.Name} recorded that the kit was handed to the carrier for its way back on {Day(f.On)}{Tracking(f.Tracking)}.",
        CarrierSaid f => $"The carrier: {Carrier(f)}{(f.Place is { } place ? $", {(place.StartsWith("urn:", StringComparison.OrdinalIgnoreCase) ? "a place outside the clinic" : place)}" : string.Empty)}, {Minute(f.HappenedAt)}.",
        KitCheckedIn f => $"{f.By.Name} opened and counted the case at the site.",
        KitTakenIntoUse f => $"Session {f.SessionId} began to use the kit.",
        WipeAwaited f => $"Session {f.SessionId} ended before its kit check; what the kit holds of it is to be wiped.",
        SessionPackUpNoted f => $"Session {f.SessionId} noted that the case is packed.",
        DataWiped f => string.Create(CultureInfo.InvariantCulture, $"The kit attested, signed with its key, that nothing of {(f.Sessions.Count == 1 ? $"session {f.Sessions[0]}" : $"{f.Sessions.Count} sessions")} is left on it."),
        KitSetDown f => $"Session {f.SessionId} is over{(f.AwaitsReturn ? "; the case is packed for its way back" : string.Empty)}.",
        KitPackedUp f => $"{f.By.Name} packed the case for its way back{Seal(f.Seal)}.",
        KitReceived f => $"{f.By.Name} received the kit{Tracking(f.Tracking)}.",
        KitQuarantined f => $"{f.By.Name} put the kit aside until {Minute(f.Until)}: {f.Reason}",
        CleaningBegun { QuarantineCutShortBecause: { } why } f => $"{f.By.Name} ended the quarantine early and began to clean: {why}",
        CleaningBegun f => $"{f.By.Name} began to clean.",
        TurnaroundSigned { SkippedBecause: { } why } f => $"{f.By.Name} skipped {Step(f.Step)}: {why}",
        TurnaroundSigned f => $"{f.By.Name} signed {Step(f.Step)}{(f.Passed() ? string.Empty : ", not all as it should be")}{Counts(f)}.{Note(f.Note)}",
        RepairBegun f => $"{f.By.Name} sent the kit to repair: {f.Fault}",
        RepairFinished f => $"{f.By.Name} recorded that the repair is done: {f.Done}{(f.PartsReplaced ? " Parts were replaced." : string.Empty)}",
        SentToLaboratory f => $"{f.By.Name} {(f.InPerson ? "handed the kit in person to" : "sent the kit to")} {f.Laboratory}, expected back on {Day(f.ExpectedBack)}.",
        TakenFromLaboratory f => $"{f.By.Name} took the kit back from the laboratory.{Note(f.Note)}",
        ParcelMissing f => $"{f.By.Name} reported the parcel missing: {f.Note}",
        KitGone f => $"{f.By.Name} reported the kit {(f.Stolen ? "stolen" : "lost")}; its right to link was taken away. {f.Circumstances}",
        KitFound f => $"{f.By.Name} reported that the kit is there again: {f.Note}",
        EntryCorrected f => string.Create(CultureInfo.InvariantCulture, $"{f.By.Name} said of entry {f.Sequence} that {(f.DidNotOccur ? "it did not occur" : "something in it is wrong")}: {f.Reason}"),
        ContentsSet f => string.Create(CultureInfo.InvariantCulture, $"{f.By.Name} wrote down what belongs in the case: {f.Items.Count} lines."),
        KitCounted f => $"{f.By.Name} counted the case.",
        _ => null,
    };

    private static string Carrier(CarrierSaid said) =>
        (said.Status switch
        {
            CarrierStatus.HandedOver => "taken over",
            CarrierStatus.Departed => "departed",
            CarrierStatus.UnderWay => "under way",
            CarrierStatus.Arrived => "arrived",
            CarrierStatus.DeliveryFailed => "delivery failed",
            _ => "delivered",
        })
        + (said.Reason switch
        {
            CarrierReason.None => string.Empty,
            CarrierReason.NobodyThere => " (nobody there)",
            CarrierReason.AddressUnclear => " (address unclear)",
            CarrierReason.Refused => " (refused)",
            CarrierReason.Weather => " (weather)",
            CarrierReason.Customs => " (customs)",
            CarrierReason.Damaged => " (damaged)",
            CarrierReason.Held => " (held)",
            _ => " (other reason)",
        });

    private static string Step(KitStage step) => step switch
    {
        KitStage.Cleaning => "the cleaning",
        KitStage.Inspection => "the inspection",
        _ => "the filling up",
    };

    private static string Counts(TurnaroundSigned signed) => signed.Counts.Count == 0
        ? string.Empty
        : (signed.Step == KitStage.Cleaning ? ", discarded: " : ", counted: ") + string.Join(", ", signed.Counts.Select(line => string.Create(CultureInfo.InvariantCulture, $"{line.ItemId} {line.Count}")));

    private static string Day(DateOnly day) => day.ToString("d MMMM yyyy", CultureInfo.InvariantCulture);

    private static string Minute(DateTimeOffset at) => at.UtcDateTime.ToString("d MMMM yyyy HH:mm 'UTC'", CultureInfo.InvariantCulture);

    private static string Seal(string? seal) => seal is null ? string.Empty : $", seal {seal}";

    private static string Tracking(string? tracking) => tracking is null ? string.Empty : $", reference {tracking}";

    private static string Note(string? note) => note is null ? string.Empty : " " + note;
}
