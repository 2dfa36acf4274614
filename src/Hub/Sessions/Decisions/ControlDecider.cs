using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>How long the consoles that answer for a session were not heard.</summary>
/// <param name="Holder">Of whoever commands.</param>
/// <param name="Lender">Of whoever lent it to them; no time while nothing is lent.</param>
internal readonly record struct Unheard(TimeSpan Holder, TimeSpan Lender)
{
    /// <summary>Nobody's silence: all are there.</summary>
    public static Unheard Nobody => default;
}

/// <summary>Control as it changes hands. Whose a command is to ask was decided by <see cref="ControlRules"/>, the moment by the machine.</summary>
internal static class ControlDecider
{
    public static Decision Decide(SessionState state, SessionCommand command, Actor by, DecisionContext context)
    {
        var epoch = state.Epoch + 1;
        return command switch
        {
            TakeControl when state.Stage == SessionStage.Scheduled => Decision.Of(new ControlTaken(epoch, by), new StageAdvanced(SessionStage.Scheduled, SessionStage.Connecting, by)),
            TakeControl => Decision.Of(new ControlTaken(epoch, by)),
            ReleaseControl => Decision.Of(new ControlReleased(by)),
            RequestControl ask => Decision.Of(new ControlAsked(ask.Why, by)),
            GrantControl when context.Named?.Roles.Contains(Roles.Clinician) != true => Decision.Refuse(RefusalCodes.PersonUnfit, "That person is no clinician here any more.", "Keep control, or hand it to somebody else."),
            GrantControl grant => Asked(state, grant.ToPersonId, to => new ControlGranted(epoch, to, by)),
            DeclineControl decline => Asked(state, decline.ToPersonId, to => new ControlDeclined(to, decline.Why, by)),
            TakeOverControl over => new Decided([new ControlTakenOver(epoch, state.Holder!, over.Reason, by)], Silence.Of(state), null),
            OfferControl offer => Offer(offer, by, context.Named),
            AcceptControl => Decision.Of(new ControlHandedOver(epoch, state.Holder!, by)),
            EndOffer end => Decision.Of(new ControlOfferEnded(state.Control.Offer!.To, end.Why, by)),
            LendControl lend => Lend(state, lend, epoch, by, context),
            GiveBackControl => Decision.Of(new ControlReturned(epoch, by, state.Control.Loan!.By, ControlLoanEnd.GivenBack)),
            TakeBackControl => new Decided([new ControlReturned(epoch, state.Holder!, by, ControlLoanEnd.TakenBack)], Silence.Of(state), null),
            AcknowledgeHandoff acknowledge => Decision.Of(new HandoffAcknowledged(state.OpenHandoff!, acknowledge.How, by)),
            _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group."),
        };
    }

    /// <summary>What the hub does by itself: ends a loan whose time is over, and takes control from whoever is silent. When it is who lent a task, nobody answers for the session any more, whoever holds the task.</summary>
    /// <param name="state">The session.</param>
    /// <param name="epoch">Epoch the silence was seen under; another one has a holder who has just come.</param>
    /// <param name="unheard">How long the consoles were not heard.</param>
    /// <param name="life">How long control lives without being renewed.</param>
    /// <param name="facts">Time and kit.</param>
    public static Decided? Due(SessionState state, int epoch, Unheard unheard, TimeSpan life, SessionFacts facts)
    {
        if (state.Holder is not { } holder || state.Epoch != epoch || SessionMachine.WhyNot(state, facts, SessionTrigger.ControlLapsed) is not null)
        {
            return null;
        }

        if (state.Control.Loan is not { } loan)
        {
            return unheard.Holder > life ? Lapsed(holder, unheard.Holder) : null;
        }

        return unheard.Lender > life ? Lapsed(loan.By, unheard.Lender)
            : facts.Now >= loan.Until ? Back(ControlLoanEnd.TimeOver)
            : unheard.Holder > life ? Back(ControlLoanEnd.Silent)
            : null;

        Decided Back(ControlLoanEnd end) => new([new ControlReturned(epoch + 1, holder, loan.By, end)], Silence.Of(state), null);

        // Where it stands off the main line already it stays, except that a kit that comes back must not put the session on the line with nobody there.
        Decided Lapsed(Actor from, TimeSpan silentFor) => new(
            [new ControlLapsed(epoch + 1, from, facts.Now - silentFor, state.Stage is SessionStage.Paused or SessionStage.Stopped ? null : state.Stage)],
            Silence.Of(state),
            null);
    }

    private static Decision Asked(SessionState state, string personId, Func<Actor, SessionEvent> happens) =>
        state.Control.Asks.Find(ask => ask.By.Id == personId) is { } asked
            ? Decision.Of(happens(asked.By))
            : Decision.Refuse(RefusalCodes.ControlNotAsked, "That person has not asked for control.", "Offer it to them instead.");

    private static Decision Offer(OfferControl offer, Actor by, NamedPerson? named) => named switch
    {
        null => Decision.Refuse(RefusalCodes.PersonUnfit, "There is no such person.", "Choose one of the clinicians listed."),
        { Id: var id } when id == by.Id => Decision.Refuse(RefusalCodes.PersonUnfit, "You are in control already.", "Choose somebody else."),
        { Roles: var roles } when !roles.Contains(Roles.Clinician) => Decision.Refuse(RefusalCodes.PersonUnfit, $"{named.Name} is no clinician, so control cannot be handed to them.", "To an assistant it can be lent for a task."),
        _ => Decision.Of(new ControlOffered(named.Actor, offer.Why, by)),
    };

    private static Decision Lend(SessionState state, LendControl lend, int epoch, Actor by, DecisionContext context) => context.Named switch
    {
        null => Decision.Refuse(RefusalCodes.PersonUnfit, "There is no such person.", "Choose one of the assistants listed."),
        { Id: var id } when id == by.Id => Decision.Refuse(RefusalCodes.PersonUnfit, "You are in control already.", "Choose somebody else."),
        { Roles: var roles, Name: var name } when !roles.Contains(Roles.Assistant) => Decision.Refuse(RefusalCodes.PersonUnfit, $"{name} is no assistant.", "To a clinician, offer control instead."),
        { } named when context.NotSignedOff is { Count: > 0 } lacking => Decision.Refuse(
            RefusalCodes.PersonUnfit,
            $"{named.Name} has no sign-off in date to {AssistantTasks.Words(lacking)}.",
            "Leave that out, or have it signed off first. What this kit's earphones ask for is known once the kit is checked."),
        _ when lend.Tasks.Contains(AssistantTask.EarPicture) && state.Consent.WhyNot(ConsentPurpose.Images) is { } refusal => new Refused(refusal),
        { } named => Decision.Of(new ControlLent(epoch, named.Actor, [.. lend.Tasks.Distinct().Order()], context.Facts.Now.AddMinutes(lend.Minutes), by) { SideProofDbHl = lend.SideProofDbHl }),
    };
}
