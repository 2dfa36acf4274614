using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>What the clinician records or writes; the validator has seen the content, the machine the moment.</summary>
internal static class RecordDecider
{
    public static Decision Decide(SessionState state, SessionCommand command, Actor by) => command switch
    {
        ConfirmIdentity identity => Decision.Of(new IdentityConfirmed(identity, by)),
        RecordEarLook { Picture: not EarPicture.None } when state.Consent.WhyNot(ConsentPurpose.Images) is { } refusal => new Refused(refusal),
        RecordEarLook look => Decision.Of(new EarLookedAt(look, by)),
        AcceptRoom accept => Decision.Of(new RoomAccepted(accept.Reason, by)),
        AcceptSides accept => Decision.Of(new SidesAccepted(accept.Reason, by)),
        AddNote note => Decision.Of(new NoteAdded(note.Text, by)),
        SayOnScreen say => Decision.Of(new MessageShown(say.Text, by)),
        RecordReview review => Decision.Of(new ReviewRecorded(review, WarningSigns.Version, by)),
        RecordHandoff { SharedWith: not null } when state.Consent.WhyNot(ConsentPurpose.Sharing) is { } refusal => new Refused(refusal),
        RecordHandoff handoff => Decision.Of(new HandoffRecorded(handoff, by)),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group."),
    };
}
