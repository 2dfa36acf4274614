using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Folds what happens to a kit's parcel, from packing to being back. Pure.</summary>
internal static class ParcelFold
{
    public static KitState Apply(KitState state, RecordedFact recorded)
    {
        var at = recorded.At;
        switch (recorded.Fact)
        {
            case KitPacked packed:
                var closed = JourneyFold.Counted(JourneyFold.To(state with { InHand = packed.LoanId }, KitStage.Packed, at), CountOccasion.Packed, at, packed.By, packed.Counts, packed.Photo);
                return LoanFold.Step(LoanFold.InHand(closed, loan => loan with { Seal = packed.Seal }), recorded, "packed", packed.By);
            case KitStaged staged:
                return LoanFold.Step(JourneyFold.To(state, KitStage.AwaitingPickup, at), recorded, "staged", staged.By);
            case KitSent { Leg: KitLeg.Out } sent:
                return LoanFold.Step(LoanFold.InHand(JourneyFold.To(state, KitStage.InTransitOut, at), loan => loan with { SentOn = sent.On, Tracking = sent.Tracking }), recorded, "sent-out", sent.By);
            case KitSent sent:
                return LoanFold.Step(LoanFold.InHand(JourneyFold.To(state, KitStage.InTransitBack, at), loan => loan with { SentBackOn = sent.On, ReturnTracking = sent.Tracking }), recorded, "sent-back", sent.By);
            case CarrierSaid said:
                return Carrier(state, said, recorded);
            case KitCheckedIn opened:
                var counted = JourneyFold.Counted(state, CountOccasion.CheckedIn, at, opened.By, opened.Counts, opened.Photo);
                counted = state.Stage == KitStage.InUse ? counted : JourneyFold.To(counted, KitStage.CheckedInAtSite, at);
                return LoanFold.Step(LoanFold.InHand(counted, loan => loan with { PackedUp = false }), recorded, "checked-in", opened.By);
            case KitPackedUp packed:
                var repacked = JourneyFold.Counted(state, CountOccasion.PackedUp, at, packed.By, packed.Counts, packed.Photo);
                repacked = state.Stage == KitStage.InUse ? repacked : JourneyFold.To(repacked, KitStage.AwaitingReturn, at);
                return LoanFold.Step(LoanFold.InHand(repacked, loan => loan with { PackedUp = true, ReturnSeal = packed.Seal }), recorded, "packed-up", packed.By);
            case KitReceived received:
                var back = LoanFold.InHand(state, loan => loan with { ReturnTracking = received.Tracking ?? loan.ReturnTracking });
                back = JourneyFold.Back(LoanFold.End(back, recorded, "received", received.By), at, received.By);
                return JourneyFold.Counted(back, CountOccasion.Received, at, received.By, received.Counts, received.Photo);
            default:
                return state;
        }
    }

    /// <summary>A packed kit is on the shelf again, its loan still promised to it: something was found before it left. Where it is not packed, nothing changes.</summary>
    internal static KitState TakenOut(KitState state, RecordedFact recorded, Actor by)
    {
        if (!KitStages.IsPacked(state.Stage))
        {
            return state;
        }

        var opened = LoanFold.Step(LoanFold.InHand(state, loan => loan with { Seal = null }), recorded, "taken-out", by);
        return JourneyFold.To(opened with { InHand = null }, JourneyFold.Shelf(opened.Loans), recorded.At);
    }

    private static KitState Carrier(KitState state, CarrierSaid said, RecordedFact recorded)
    {
        var next = LoanFold.InHand(state, loan => loan with
        {
            Carrier = [.. loan.Carrier, new CarrierEntry(recorded.Sequence, said.Leg, said.Status, said.Reason, said.Place, said.HappenedAt, said.Means, said.Readings)],
        });
        return (said.Leg, said.Status, state.Stage) switch
        {
            (KitLeg.Out, CarrierStatus.Delivered, KitStage.InTransitOut or KitStage.MissingParcel) => LoanFold.Step(JourneyFold.To(next, KitStage.Delivered, recorded.At), recorded, "delivered", said.By),
            (KitLeg.Out, _, KitStage.MissingParcel) => JourneyFold.To(next, KitStage.InTransitOut, recorded.At),
            (KitLeg.Back, _, KitStage.MissingParcel) => JourneyFold.To(next, KitStage.InTransitBack, recorded.At),
            _ => next,
        };
    }
}
