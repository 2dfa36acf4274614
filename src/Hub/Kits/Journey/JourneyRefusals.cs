using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Refusals about a kit's way, in the coordinator's words.</summary>
internal static class JourneyRefusals
{
    /// <summary>Why a kit cannot go on like this where it stands; absent when it can.</summary>
    public static Refusal? WhyNot(KitState state, KitTrigger trigger, IReadOnlyList<KitHold> holds)
    {
        if (new KitMachine(state, holds).Unmet(trigger) is not { } unmet)
        {
            return null;
        }

        if (unmet.Count == 0)
        {
            return WrongOrder(state, trigger);
        }

        return trigger switch
        {
            KitTrigger.Reserve or KitTrigger.SendOut => Held(holds),
            KitTrigger.SendBack or KitTrigger.SendToLaboratory => NotByParcel(state, trigger),
            KitTrigger.Release when holds.Where(hold => !KitHolds.IsOfALoan(hold.Kind)).ToList() is { Count: > 0 } held => Held(held),
            KitTrigger.Release => new Refusal(RefusalCodes.CheckMissing, "No function check passed since the kit came back, was repaired or went into service.", "Do the function check and record it, then release the kit."),
            _ => new Refusal(RefusalCodes.StageDoesNotAllow, $"Still needed: {string.Join("; ", unmet)}.", "Look at the page as it is now."),
        };
    }

    /// <summary>Something holds the kit.</summary>
    public static Refusal Held(IReadOnlyList<KitHold> holds) =>
        new(RefusalCodes.KitHeld, "Something holds this kit. " + string.Join(" ", holds.Select(hold => hold.Sentence)), "See to that first, or send another kit.");

    /// <summary>What stands against a parcel of any kind, as a sentence.</summary>
    public static string AgainstParcel(KitState state) =>
        string.Join(" ", KitHolds.AgainstParcels(state).Select(hold => $"{KitHolds.Name(hold.Kind)}: {hold.Reason.TrimEnd('.')} (held by {hold.By.Name}).")) + " A kit held for this is not sent by parcel.";

    private static Refusal NotByParcel(KitState state, KitTrigger trigger) => new(
        RefusalCodes.KitHeld,
        AgainstParcel(state),
        "Have it inspected and lift the hold when nothing is wrong. Or have it handed over in person, not by parcel; confirm how with the carrier and your local rules"
            + (trigger == KitTrigger.SendBack ? ", and receive it when it is here." : ", and say so in the entry."));

    public static Refusal NoCalibration { get; } = new(
        RefusalCodes.CertificateMissing,
        "This kit has told no calibration, so nobody knows whether it holds to the end of the loan.",
        "Link the kit to the hub once, with its calibration record in place.");

    public static Refusal Outlived(DateOnly until, DateOnly dueBack) => new(
        RefusalCodes.LoanOutlivesCalibration,
        string.Create(CultureInfo.InvariantCulture, $"The calibration ends on {until:d MMMM yyyy}, before the kit is back on {dueBack:d MMMM yyyy}. It would fall silent during the loan."),
        "Have it calibrated first, shorten the loan, or send another kit.");

    public static Refusal NoSuchLoan { get; } = new(RefusalCodes.LoanUnknown, "This kit is not promised to that loan, and not away with it.", "Look at the page as it is now.");

    public static Refusal OtherLoan(KitLoan loan) => new(
        RefusalCodes.LoanUnknown,
        string.Create(CultureInfo.InvariantCulture, $"The kit is with another loan now: {loan.Place}, due back on {loan.DueBack:d MMMM yyyy}."),
        "Look at the page as it is now.");

    public static Refusal Invalid(string sentence, string remedy = "Check the entry.") => new(RefusalCodes.Invalid, sentence, remedy);

    private static Refusal WrongOrder(KitState state, KitTrigger trigger)
    {
        var (sentence, remedy) = trigger switch
        {
            KitTrigger.Receive when state.LastReceipt is { } receipt && state.Stage is >= KitStage.Received and <= KitStage.AtCalibration =>
                (string.Create(CultureInfo.InvariantCulture, $"{receipt.By} received it already, on {receipt.At.UtcDateTime:d MMMM yyyy} at {receipt.At.UtcDateTime:HH:mm} UTC; it is {KitStages.InWords(state.Stage)}."), "Nothing is to be done; look at the page as it is now."),
            KitTrigger.Receive when state.Stage == KitStage.InUse =>
                ("A session with this kit is still open.", "Have the clinician end the session first; then receive the kit."),
            KitTrigger.Receive => ($"This kit was never sent, so it cannot come back: it is {KitStages.InWords(state.Stage)}.", "Check the number on the case. If it did go out, record that it was sent first."),
            KitTrigger.CarrierSays or KitTrigger.CarrierDelivers when state.InHand is null || KitStages.IsPacked(state.Stage) =>
                ($"The kit was not handed to a carrier: it is {KitStages.InWords(state.Stage)}.", "Record that it was sent first, or check the tracking reference."),
            KitTrigger.CheckIn or KitTrigger.PackUp => ($"The kit is not at a site: it is {KitStages.InWords(state.Stage)}.", "Check the number on the case."),
            KitTrigger.SendOut => ($"Only a kit that is packed can be sent: it is {KitStages.InWords(state.Stage)}.", "Count and pack it first."),
            KitTrigger.SendBack => ($"Only a kit that is packed at the site can be sent back: it is {KitStages.InWords(state.Stage)}.", "Record first that it is packed."),
            KitTrigger.Pack => ($"Only a kit on the shelf that is promised to a loan can be packed: it is {KitStages.InWords(state.Stage)}.", "Look at the page as it is now."),
            KitTrigger.PassFunctionCheck or KitTrigger.FailFunctionCheck when state.Stage == KitStage.AtCalibration =>
                ("A kit that is at the laboratory is not in front of you, so it cannot be checked.", "Take it back from the laboratory first; it is checked before it is released."),
            KitTrigger.PassFunctionCheck or KitTrigger.FailFunctionCheck => ($"A kit that is {KitStages.InWords(state.Stage)} cannot be checked.", "Look at the page as it is now."),
            KitTrigger.Release => ($"Only a checked kit can be released: it is {KitStages.InWords(state.Stage)}.", "Finish the step it stands at first."),
            KitTrigger.CallOffPacked or KitTrigger.CallOffPromised => ($"The kit has left with this loan: it is {KitStages.InWords(state.Stage)}.", "Record that it is back instead."),
            KitTrigger.Retire => ($"A kit that is away cannot be taken out of service: it is {KitStages.InWords(state.Stage)}.", "Receive it first, or report it lost."),
            _ => ($"This cannot be done now: the kit is {KitStages.InWords(state.Stage)}.", "Look at the page as it is now."),
        };
        return new Refusal(RefusalCodes.StageDoesNotAllow, sentence, remedy);
    }
}
