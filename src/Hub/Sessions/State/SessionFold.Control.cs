using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Sessions.State;

internal static partial class SessionFold
{
    /// <summary>What an event does to control; null when it is about something else.</summary>
    private static SessionState? ChangeOfControl(SessionState state, RecordedEvent recorded) => recorded.Event switch
    {
        ControlTaken e => Hands(state, e, e.Epoch, e.Holder, null),
        ControlReleased e => Hands(state, e, state.Epoch, null, null),
        ControlGranted e => Hands(state, e, e.Epoch, e.To, null),
        ControlTakenOver e => Cut(Hands(state, e, e.Epoch, e.By, null)),
        ControlHandedOver e => Hands(state, e, e.Epoch, e.To, null),
        ControlLent e => Lent(state, e),
        ControlLentBefore e => Lent(state, e.InTasksOfToday()),
        ControlReturned e => Keeping(state, Cut(Hands(state, e, e.Epoch, e.To, null))),
        ControlLapsed e => Lapsed(Cut(Hands(state, e, e.Epoch, null, null)), e, recorded.At),
        ControlAsked e => state with { Control = state.Control with { Asks = Without(state, e.By.Id).Add(new ControlAsk(e.By, e.Why, recorded.At)), Declined = state.Control.Declined.Remove(e.By.Id) } },
        ControlDeclined e => state with { Control = state.Control with { Asks = Without(state, e.To.Id), Declined = state.Control.Declined.Remove(e.To.Id).Add(e.To.Id) } },
        ControlOffered e => state with { Control = state.Control with { Offer = new ControlOffer(e.To, e.Why) } },
        ControlOfferEnded => state with { Control = state.Control with { Offer = null } },
        HandoffRecorded e => state with { Handoff = e.Handoff, OpenHandoff = e.Handoff.Owner is { } owner && owner.PersonId != e.By.Id ? owner : null },
        HandoffAcknowledged => state with { OpenHandoff = null },
        _ => null,
    };

    /// <summary>Control changes hands: what was asked of the old holder, or offered by them, is over.</summary>
    private static SessionState Hands(SessionState state, SessionEvent change, int epoch, Actor? holder, ControlLoan? loan)
    {
        var leads = (loan?.By ?? holder)?.Name;
        return state with
        {
            Epoch = epoch,
            Holder = holder,
            Control = new ControlDetail
            {
                Loan = loan,
                Change = change,
                Before = state.Holder ?? state.Control.Before,
                Led = leads ?? state.Control.Led,
                LedBefore = leads is null || state.Control.Led is null || leads == state.Control.Led ? state.Control.LedBefore : state.Control.Led,
            },
        };
    }

    /// <summary>A loan and its end leave standing what colleagues ask of the clinician.</summary>
    private static SessionState Keeping(SessionState before, SessionState after) => after with { Control = after.Control with { Asks = before.Control.Asks } };

    private static SessionState Lent(SessionState state, ControlLent e) => Keeping(state, Hands(state, e, e.Epoch, e.To, new ControlLoan(e.By, e.Tasks, e.Until, e.SideProofDbHl)));

    private static SessionState Cut(SessionState state) => state.Step is { InHand: true } step ? state with { Step = step with { CutAsked = true } } : state;

    private static SessionState Lapsed(SessionState state, ControlLapsed e, DateTimeOffset at) => e.HeldAt is { } stage
        ? OffLine(state, SessionStage.Paused, stage, $"{e.From.Name} was not heard any more, so nobody is in control.", at)
        : state;

    private static System.Collections.Immutable.ImmutableList<ControlAsk> Without(SessionState state, string personId) => state.Control.Asks.RemoveAll(ask => ask.By.Id == personId);
}
