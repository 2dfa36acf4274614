using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Whether a command is its sender's to ask: exactly one person commands, under one epoch, within what they were given.</summary>
internal static class ControlRules
{
    /// <returns>Null when it is; otherwise why not, with who is in control.</returns>
    public static Refusal? WhyNot(SessionState state, CommandEnvelope envelope, PersonCaller caller, DateTimeOffset now)
    {
        if (envelope.Command is AcknowledgeHandoff acknowledge)
        {
            return Handoff(state, acknowledge, caller);
        }

        // The person's no waits for nobody: any clinician takes it down, also when another is in control or the session is over.
        if (envelope.Command is WithdrawConsent)
        {
            return null;
        }

        if (Stages.IsOver(state.Stage))
        {
            return new Refusal(RefusalCodes.SessionOver, $"The session is over ({Stages.InWords(state.Stage)}).", "Plan a new session.");
        }

        return Whose(state, envelope.Command, caller, now) ?? Epoch(state, envelope);
    }

    private static Refusal? Whose(SessionState state, SessionCommand command, PersonCaller caller, DateTimeOffset now) => command switch
    {
        TakeControl when state.Holder is { } holder => Held(state, holder.Id == caller.Id),
        TakeControl => null,
        RequestControl or TakeOverControl when state.Holder?.Id == caller.Id => Held(state, byCaller: true),
        RequestControl or TakeOverControl when state.Control.Loan?.By.Id == caller.Id => new Refusal(RefusalCodes.ControlHeld, $"You lent control to {state.Holder?.Name}.", "Take it back; that works at once."),
        RequestControl or TakeOverControl => null,
        AcceptControl when state.Control.Offer?.To.Id == caller.Id => null,
        EndOffer when state.Control.Offer?.To.Id == caller.Id => null,
        AcceptControl => new Refusal(RefusalCodes.ControlNotOffered, "Control is not offered to you. " + Who(state), "Ask for it."),
        TakeBackControl when state.Control.Loan?.By.Id == caller.Id => null,
        TakeBackControl => new Refusal(RefusalCodes.ControlNotLent, "You have lent control to nobody. " + Who(state), state.Holder is null ? "Take control." : "Ask for it, or take over with a reason."),
        _ when state.Holder?.Id != caller.Id => NotYours(state, caller),
        _ => WithinLoan(state, command, now),
    };

    private static Refusal? WithinLoan(SessionState state, SessionCommand command, DateTimeOffset now) => state.Control.Loan switch
    {
        null when command is GiveBackControl => new Refusal(RefusalCodes.ControlNotLent, "Control was not lent to you: it is yours.", "Give it up instead, or hand it over."),
        null => null,
        { } loan when now >= loan.Until => new Refusal(RefusalCodes.BeyondTask, $"The time for the task is over; control goes back to {loan.By.Name}.", $"Tell {loan.By.Name} what is still to do."),
        { } loan when !ControlTasks.Cover(loan.Tasks, command) => new Refusal(RefusalCodes.BeyondTask, $"{loan.By.Name} lent you control for {ControlTasks.InWords(loan.Tasks)} alone.", $"Give control back, and let {loan.By.Name} do this."),
        _ => null,
    };

    private static Refusal? Epoch(SessionState state, CommandEnvelope envelope) => envelope.ControlEpoch == state.Epoch
        ? null
        : new Refusal(RefusalCodes.OldEpoch, "The command comes from another time of control. " + Who(state), "Look at the session as it is now and ask again.");

    private static Refusal Held(SessionState state, bool byCaller) =>
        new(RefusalCodes.ControlHeld, byCaller ? "You are in control already." : Who(state), byCaller ? "Nothing needs to be done." : "Ask for control, or take over with a reason.");

    private static Refusal NotYours(SessionState state, PersonCaller caller) => new(
        RefusalCodes.NotInControl,
        state.Holder is null ? "Nobody is in control." : $"{state.Holder.Name} is in control, not you.",
        state.Holder is null ? "Take control first."
            : state.Control.Loan?.By.Id == caller.Id ? "You lent it: take it back first."
            : "Ask for control, or take over with a reason.");

    private static Refusal? Handoff(SessionState state, AcknowledgeHandoff acknowledge, PersonCaller caller) => state.OpenHandoff switch
    {
        { PersonId: { } owner, Name: var name } when owner != caller.Id => new Refusal(RefusalCodes.HandoffNotYours, $"The next step was handed to {name}.", $"Only {name} can say that it is in hand."),
        { PersonId: null } outside when string.IsNullOrWhiteSpace(acknowledge.How) => new Refusal(RefusalCodes.Invalid, $"How {outside.Name} acknowledged is missing.", "Write a line, e.g. who called when."),
        _ => null,
    };

    private static string Who(SessionState state) => state switch
    {
        { Holder: null } => "Nobody is in control.",
        { Control.Loan: { } loan } => $"{state.Holder.Name} is in control for a task of {loan.By.Name}.",
        _ => $"{state.Holder.Name} is in control.",
    };
}
