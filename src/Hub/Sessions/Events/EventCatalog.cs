using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions.Events;

/// <summary>Stored names and shapes of all events. Names are for good; a new shape of an event is a new line here with the next number.</summary>
internal static class EventCatalog
{
    private static readonly (string Name, int Shape, Type Type)[] _lines =
    [
        ("session.scheduled", 1, typeof(SessionScheduled)),
        ("session.kit-changed", 1, typeof(SessionKitChanged)),
        ("control.taken", 1, typeof(ControlTaken)),
        ("control.released", 1, typeof(ControlReleased)),
        ("control.asked", 1, typeof(ControlAsked)),
        ("control.declined", 1, typeof(ControlDeclined)),
        ("control.granted", 1, typeof(ControlGranted)),
        ("control.taken-over", 1, typeof(ControlTakenOver)),
        ("control.offered", 1, typeof(ControlOffered)),
        ("control.offer-ended", 1, typeof(ControlOfferEnded)),
        ("control.handed-over", 1, typeof(ControlHandedOver)),
        ("control.lent", 1, typeof(ControlLentBefore)),
        ("control.lent", 2, typeof(ControlLent)),
        ("control.returned", 1, typeof(ControlReturned)),
        ("control.lapsed", 1, typeof(ControlLapsed)),
        ("stage.advanced", 1, typeof(StageAdvanced)),
        ("stage.stepped-back", 1, typeof(StageSteppedBack)),
        ("session.held", 1, typeof(SessionHeld)),
        ("session.resumed", 1, typeof(SessionResumed)),
        ("session.stopped", 1, typeof(SessionStopped)),
        ("link.lost", 1, typeof(LinkWasLost)),
        ("link.restored", 1, typeof(LinkWasRestored)),
        ("session.aborted", 1, typeof(SessionAborted)),
        ("session.converted", 1, typeof(SessionConverted)),
        (SessionErased.Kind, 1, typeof(SessionErased)),
        ("identity.confirmed", 1, typeof(IdentityConfirmed)),
        ("identity.confirmed", 2, typeof(StartCardConfirmed)),
        ("consent.given", 1, typeof(ConsentGiven)),
        ("consent.withdrawn", 1, typeof(ConsentWithdrawn)),
        ("consent.answered", 1, typeof(ConsentAnswered)),
        ("consent.asked-on-screen", 1, typeof(ConsentAskedOnScreen)),
        ("consent.taken-back", 1, typeof(ConsentTakenBack)),
        ("recording.declared", 1, typeof(RecordingDeclared)),
        ("ear.looked-at", 1, typeof(EarLookedAt)),
        ("room.accepted", 1, typeof(RoomAccepted)),
        ("sides.accepted", 1, typeof(SidesAccepted)),
        ("note.added", 1, typeof(NoteAdded)),
        ("message.shown", 1, typeof(MessageShown)),
        ("review.recorded", 1, typeof(ReviewRecorded)),
        ("handoff.recorded", 1, typeof(HandoffRecorded)),
        ("handoff.acknowledged", 1, typeof(HandoffAcknowledged)),
        ("protocol.chosen", 1, typeof(ProtocolChosen)),
        ("plan.changed", 1, typeof(PlanChanged)),
        ("step.ordered", 1, typeof(StepOrdered)),
        ("step.cut-asked", 1, typeof(StepCutAsked)),
        ("step.began", 1, typeof(StepBegan)),
        ("trial.taken", 1, typeof(TrialTaken)),
        ("threshold.measured", 1, typeof(ThresholdMeasured)),
        ("step.over", 1, typeof(StepOver)),
        ("site.stop-pressed", 1, typeof(SiteStopPressed)),
        ("site.card-done", 1, typeof(CardMarkedDone)),
        ("site.help-called", 1, typeof(HelpWasCalled)),
        ("kit.data-wiped", 1, typeof(KitDataWiped)),
    ];

    private static readonly Dictionary<Type, (string Name, int Shape)> _byType = _lines.ToDictionary(line => line.Type, line => (line.Name, line.Shape));

    private static readonly Dictionary<(string Name, int Shape), Type> _byName = _lines.ToDictionary(line => (line.Name, line.Shape), line => line.Type);

    /// <summary>Every line: stored name, shape number, type.</summary>
    public static IReadOnlyList<(string Name, int Shape, Type Type)> Lines => _lines;

    /// <summary>Stored form of an event.</summary>
    public static (string Name, int Shape, string Payload) Write(SessionEvent happened)
    {
        if (happened is UnreadableEvent carried)
        {
            return (carried.Kind, carried.Shape, carried.Payload);
        }

        var (name, shape) = _byType[happened.GetType()];
        return (name, shape, JsonSerializer.Serialize(happened, happened.GetType(), Protocol.Json));
    }

    /// <summary>Reads a stored event; never fails, for a log that cannot be shown helps nobody.</summary>
    public static SessionEvent Read(string name, int shape, string payload)
    {
        if (!_byName.TryGetValue((name, shape), out var type))
        {
            return new UnreadableEvent(name, shape, payload);
        }

        try
        {
            return (SessionEvent?)JsonSerializer.Deserialize(payload, type, Protocol.Json) ?? new UnreadableEvent(name, shape, payload);
        }
        catch (Exception fault) when (fault is JsonException or NotSupportedException)
        {
            // The payload was changed by hand: the hash chain says where, and the rest of the log stays readable.
            return new UnreadableEvent(name, shape, payload);
        }
    }
}
