using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Plans;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Decides a clinician's command: is it in time, is it the clinician's to ask, does the machine permit it; then one decider a group says what happens.</summary>
internal static class SessionDecider
{
    public static Decision Decide(SessionState state, CommandEnvelope envelope, PersonCaller caller, DecisionContext context)
    {
        var refusal = Timely(envelope, context) ?? ControlRules.WhyNot(state, envelope, caller, context) ?? Fresh(state, envelope)
            ?? SessionMachine.WhyNot(state, context.Facts, SessionTriggers.Of(envelope.Command));
        if (refusal is not null)
        {
            return new Refused(refusal);
        }

        var by = new Actor(caller.Id, caller.Name);
        return envelope.Command switch
        {
            TakeControl or ReleaseControl or RequestControl or GrantControl or DeclineControl or TakeOverControl or OfferControl or AcceptControl or EndOffer
                or LendControl or GiveBackControl or TakeBackControl or AcknowledgeHandoff => ControlDecider.Decide(state, envelope.Command, by, context),
            Advance or StepBack or Hold or Resume => FlowDecider.Decide(state, envelope.Command, by, context.Facts),
            AnswerConsent or AskConsentOnScreen or WithdrawConsent or DeclareRecording => ConsentDecider.Decide(state, envelope.Command, by, context),
            Abort or ConvertSession => EndDecider.Decide(state, envelope.Command, by),
            ChooseProtocol or ChangePlan => PlanDecider.Decide(state, envelope.Command, by, context.Facts, context.Protocol),
            OrderStep or CutStep => StepDecider.Decide(state, envelope.Command, by, envelope, context),
            ConfirmIdentity confirm => CardDecider.Decide(state, confirm.Card, by, context.Card),
            _ => RecordDecider.Decide(state, envelope.Command, by, context.Named),
        };
    }

    private static Refusal? Timely(CommandEnvelope envelope, DecisionContext context) =>
        context.Facts.Now <= envelope.ExpiresAt
            ? null
            : new Refusal(RefusalCodes.Expired, "The command came too late and was not carried out.", "Look at the session as it is now and ask again.");

    /// <summary>Silence is never refused because the view was old: it does no harm in a session that moved on, and the person's no does not wait for a reload.</summary>
    private static Refusal? Fresh(SessionState state, CommandEnvelope envelope)
    {
        if (envelope.ExpectedVersion > state.Version)
        {
            return new Refusal(RefusalCodes.Invalid, "The command names a version of the session that does not exist.", "Reload the console.");
        }

        return envelope.ExpectedVersion >= state.DecisiveVersion || Silencing.DoesNoHarm(envelope.Command)
            ? null
            : new Refusal(RefusalCodes.StaleView, "The session changed its stage or its control since the picture you acted on.", "Look at the session as it is now and ask again.");
    }
}
