using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Decides the way of the parcel: packing, sending, what the carrier says, the site, and being back. Pure.</summary>
internal static class ParcelDecider
{
    public static KitDecision Pack(JourneyAsk ask, PackKit pack)
    {
        var (state, today) = (ask.State, ask.Context.Today);
        if (state.Loan(pack.LoanId) is not { } loan)
        {
            return KitDecision.Refuse(JourneyRefusals.NoSuchLoan);
        }

        if (ask.WhyNot(KitTrigger.Pack) is { } refusal)
        {
            return KitDecision.Refuse(refusal);
        }

        if (state.Loans[0] is var first && first.LoanId != loan.LoanId)
        {
            return KitDecision.Refuse(JourneyRefusals.OtherLoan(first) with { Sentence = string.Create(CultureInfo.InvariantCulture, $"Another loan comes first: {first.Place}, on {first.From:d MMMM yyyy}.") });
        }

        var uncounted = state.Items.Where(item => item.ParCount > 0 && pack.Counts.All(line => line.ItemId != item.ItemId)).Select(item => item.Kind).ToList();
        if (uncounted.Count > 0)
        {
            return KitDecision.Refuse(RefusalCodes.ItemsMissing, $"These were not counted: {string.Join(", ", uncounted)}.", "Count every line of the list, then pack.");
        }

        var unknown = Unknown(state, pack.Counts);
        if (unknown is not null)
        {
            return unknown;
        }

        var missing = KitHolds.Short(state.Items, pack.Counts.ToDictionary(line => line.ItemId, line => line.Count), today);
        return missing.Count > 0
            ? KitDecision.Refuse(RefusalCodes.ItemsMissing, $"The case is not complete: {string.Join(", ", missing)}.", "Fill it up and count again, or send another kit.")
            : loan.Paper is null
            ? KitDecision.Refuse(RefusalCodes.ConsentMissing, $"There is no consent to {ConsentPurposes.InWords(ConsentPurpose.Loan)} for {loan.Place}: the paper of the loan is not signed, or consent was taken back.", "Have the paper signed and record it, then pack.")
            : KitDecision.Of(new KitPacked(pack.LoanId, pack.Counts, JourneyDecider.Text(pack.Photo), JourneyDecider.Text(pack.Seal), ask.By));
    }

    public static KitDecision Stage(JourneyAsk ask, StageKit stage) =>
        NotInHand(ask.State, stage.LoanId, KitTrigger.Stage, ask) ?? ask.Move(KitTrigger.Stage, () => new KitStaged(stage.LoanId, ask.By));

    public static KitDecision Send(JourneyAsk ask, SendKit send)
    {
        var (state, today) = (ask.State, ask.Context.Today);
        var back = state.LoanInHand?.SentOn is not null;
        var trigger = back ? KitTrigger.SendBack : KitTrigger.SendOut;
        if (NotInHand(state, send.LoanId, trigger, ask) is { } other)
        {
            return other;
        }

        if (ask.WhyNot(trigger) is { } refusal)
        {
            return KitDecision.Refuse(refusal);
        }

        var loan = state.LoanInHand!;
        if (send.On > today.AddDays(1))
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid("The kit cannot have been sent on a day that has not come.", "Check the date."));
        }

        if (Earliest(loan, back) is { } earliest && send.On < earliest)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid(
                string.Create(CultureInfo.InvariantCulture, $"The kit was {(back ? "sent out" : "packed")} on {earliest.AddDays(1):d MMMM yyyy}; it cannot have been sent{(back ? " back" : string.Empty)} before that."),
                "Check the date."));
        }

        if (!back)
        {
            if (KitJudgement.HoldsUntil(state) is not { } until)
            {
                return KitDecision.Refuse(JourneyRefusals.NoCalibration);
            }

            if (!CalibrationValidity.Covers(until, new LoanPeriod(loan.From, loan.DueBack)))
            {
                return KitDecision.Refuse(JourneyRefusals.Outlived(until, loan.DueBack));
            }
        }

        return KitDecision.Of(new KitSent(send.LoanId, back ? KitLeg.Back : KitLeg.Out, JourneyDecider.Text(send.Tracking), send.On, send.Means, ask.By));
    }

    public static KitDecision Carrier(JourneyAsk ask, RecordCarrier carrier)
    {
        var (state, now) = (ask.State, ask.Context.Now);
        if (state.Loan(carrier.LoanId) is not { } loan)
        {
            return KitDecision.Refuse(JourneyRefusals.NoSuchLoan);
        }

        if (state.InHand != carrier.LoanId || loan.SentOn is not { } sent)
        {
            return KitDecision.Refuse(RefusalCodes.StageDoesNotAllow, "The kit was not handed to a carrier for this loan yet.", "Record that it was sent first, or check the tracking reference.");
        }

        var leg = loan.Leg;
        var moves = (leg, carrier.Status, state.Stage) is (KitLeg.Out, CarrierStatus.Delivered, KitStage.InTransitOut or KitStage.MissingParcel);
        if (ask.WhyNot(moves ? KitTrigger.CarrierDelivers : KitTrigger.CarrierSays) is { } refusal)
        {
            return KitDecision.Refuse(refusal);
        }

        // A day of grace to both sides: the carrier's local day may be another than the hub's.
        var begun = (leg == KitLeg.Back ? loan.SentBackOn ?? sent : sent).AddDays(-1);
        if (carrier.At > now || KitJudgement.Day(carrier.At) < begun)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid(
                carrier.At > now ? "The carrier cannot have said this at a time that has not come." : "That was before the parcel was handed over.",
                "Check date and time."));
        }

        return KitDecision.Of(new CarrierSaid(carrier.LoanId, leg, carrier.Status, carrier.Reason, JourneyDecider.Text(carrier.Place), carrier.At, carrier.Means, carrier.Readings, ask.By));
    }

    public static KitDecision CheckIn(JourneyAsk ask, CheckInKit checkIn) =>
        NotInHand(ask.State, checkIn.LoanId, KitTrigger.CheckIn, ask)
        ?? Unknown(ask.State, checkIn.Counts)
        ?? ask.Move(KitTrigger.CheckIn, () => new KitCheckedIn(checkIn.LoanId, checkIn.Counts, JourneyDecider.Text(checkIn.Photo), checkIn.Means, ask.By));

    public static KitDecision PackUp(JourneyAsk ask, PackUpKit packUp) =>
        NotInHand(ask.State, packUp.LoanId, KitTrigger.PackUp, ask)
        ?? Unknown(ask.State, packUp.Counts)
        ?? ask.Move(KitTrigger.PackUp, () => new KitPackedUp(packUp.LoanId, packUp.Counts, JourneyDecider.Text(packUp.Photo), JourneyDecider.Text(packUp.Seal), ask.By));

    public static KitDecision Receive(JourneyAsk ask, ReceiveKit receive) =>
        Unknown(ask.State, receive.Counts)
        ?? ask.Move(KitTrigger.Receive, () => new KitReceived(ask.State.InHand, JourneyDecider.Text(receive.Tracking), receive.Counts, JourneyDecider.Text(receive.Photo), receive.Means, ask.By));

    /// <summary>Refuses counts of things that do not belong in this case.</summary>
    internal static KitDecision? Unknown(KitState state, IReadOnlyList<ItemCount> counts) =>
        counts.Where(line => state.Items.All(item => item.ItemId != line.ItemId)).Select(line => line.ItemId).ToList() is { Count: > 0 } strange
            ? KitDecision.Refuse(RefusalCodes.ItemUnknown, $"These do not belong in this case: {string.Join(", ", strange)}.", "Check the label. If they do belong here, add them to the list of contents first.")
            : null;

    /// <summary>Refuses a step of a loan the kit is not in hand for. Where the stage does not know the step at all, the machine's words say more.</summary>
    private static KitDecision? NotInHand(KitState state, LoanId loanId, KitTrigger trigger, JourneyAsk ask)
    {
        if (state.InHand == loanId)
        {
            return null;
        }

        if (state.LoanInHand is { } other)
        {
            return KitDecision.Refuse(JourneyRefusals.OtherLoan(other));
        }

        return KitDecision.Refuse(state.Loan(loanId) is null ? JourneyRefusals.NoSuchLoan : ask.WhyNot(trigger) ?? JourneyRefusals.NoSuchLoan);
    }

    private static DateOnly? Earliest(KitLoan loan, bool back) => (back
        ? loan.SentOn
        : loan.Steps.LastOrDefault(step => step.Name == "packed") is { } packed ? KitJudgement.Day(packed.At) : null)?.AddDays(-1);
}
