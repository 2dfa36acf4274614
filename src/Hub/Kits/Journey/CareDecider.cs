using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Decides holds by hand, contents and counts, the laboratory, and what was lost and is found. Pure.</summary>
internal static class CareDecider
{
    public static KitDecision Place(JourneyAsk ask, PlaceHold place)
    {
        if (ask.State.Stage == KitStage.Retired)
        {
            return KitDecision.Refuse(RefusalCodes.StageDoesNotAllow, "The kit is out of service for good.", "Nothing is to be held.");
        }

        return ask.State.HoldsByHand.TryGetValue(place.Kind, out var known)
            ? KitDecision.Refuse(JourneyRefusals.Invalid($"{known.By.Name} holds the kit for this already: {known.Reason}", "Look at the page as it is now."))
            : KitStages.IsPacked(ask.State.Stage)
            ? ask.Move(KitTrigger.TakeOut, () => new HoldPlaced(place.Kind, place.Reason.Trim(), ask.By))
            : KitDecision.Of(new HoldPlaced(place.Kind, place.Reason.Trim(), ask.By));
    }

    public static KitDecision Lift(JourneyAsk ask, LiftHold lift) => ask.State.HoldsByHand.ContainsKey(lift.Kind) || (lift.Kind == KitHoldKind.DataNotWiped && ask.State.Unwiped.Count > 0)
        ? KitDecision.Of(new HoldLifted(lift.Kind, lift.Reason.Trim(), ask.By))
        : KitDecision.Refuse(JourneyRefusals.Invalid("Nobody holds the kit for this by hand.", "A hold that follows from the kit's facts ends when what it is about is put right."));

    public static KitDecision Contents(JourneyAsk ask, SetContents contents) => ask.Move(KitTrigger.Count, () => new ContentsSet(contents.Items, ask.By));

    public static KitDecision Count(JourneyAsk ask, CountKit count) =>
        ParcelDecider.Unknown(ask.State, count.Counts) ?? ask.Move(KitTrigger.Count, () => new KitCounted(count.Counts, JourneyDecider.Text(count.Photo), ask.By));

    public static KitDecision Laboratory(JourneyAsk ask, SendToLaboratory send) => send.ExpectedBack < ask.Context.Today
        ? KitDecision.Refuse(JourneyRefusals.Invalid("The kit cannot be expected back in the past.", "Check the date."))
        : ask.Move(send.InPerson ? KitTrigger.HandToLaboratory : KitTrigger.SendToLaboratory, () => new SentToLaboratory(send.Laboratory.Trim(), send.ExpectedBack, ask.By) { InPerson = send.InPerson });

    public static KitDecision Found(JourneyAsk ask, ReportKitFound found)
    {
        if (ask.WhyNot(KitTrigger.ReportFound) is { } refusal)
        {
            return KitDecision.Refuse(refusal);
        }

        var fact = new KitFound(found.Note.Trim(), ask.By);

        // A kit that was given up was in strange hands: nobody knows what is on it now.
        return ask.State.Stage is KitStage.Lost or KitStage.Stolen && !ask.State.HoldsByHand.ContainsKey(KitHoldKind.DataNotWiped)
            ? KitDecision.Of(fact, new HoldPlaced(KitHoldKind.DataNotWiped, "It was out of the clinic's hands. Wipe it, set it up anew and enrol it anew.", ask.By))
            : KitDecision.Of(fact);
    }
}
