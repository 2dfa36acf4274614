using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>What the clinician records or writes; the validator has seen the content, the machine the moment.</summary>
internal static class RecordDecider
{
    public static Decision Decide(SessionState state, SessionCommand command, Actor by, NamedPerson? named) => command switch
    {
        RecordEarLook { Picture: not EarPicture.None } when state.Consent.WhyNot(ConsentPurpose.Images) is { } refusal => new Refused(refusal),
        RecordEarLook look => Decision.Of(new EarLookedAt(look, by)),
        AcceptRoom accept => Decision.Of(new RoomAccepted(accept.Reason, by)),
        AcceptSides accept => Decision.Of(new SidesAccepted(accept.Reason, by)),
        AddNote note => Decision.Of(new NoteAdded(note.Text, by)),
        SayOnScreen say => Decision.Of(new MessageShown(say.Text, by)),
        RecordReview review => Decision.Of(new ReviewRecorded(review, WarningSigns.Version, by)),
        RecordHandoff { IsShared: true } when state.Consent.WhyNot(ConsentPurpose.Sharing) is { } refusal => new Refused(refusal),
        RecordHandoff handoff => Handoff(handoff, by, named),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group."),
    };

    /// <summary>The name of a colleague is the one the clinic knows them by.</summary>
    private static Decision Handoff(RecordHandoff handoff, Actor by, NamedPerson? named) => handoff.Owner switch
    {
        null or { PersonId: null } => Decision.Of(new HandoffRecorded(handoff, by)),
        { PersonId: var id } when named is null || named.Id != id || !named.Roles.Any(role => role is Roles.Clinician or Roles.Owner) => Decision.Refuse(
            RefusalCodes.PersonUnfit,
            "The next step cannot be handed to that person: they do not see sessions here.",
            "Choose one of those listed, or name somebody outside."),
        { } owner => Decision.Of(new HandoffRecorded(handoff with { Owner = owner with { Name = named!.Name } }, by)),
    };
}
