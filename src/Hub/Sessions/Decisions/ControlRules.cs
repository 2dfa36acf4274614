using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Whether a command is its sender's to ask: exactly one person commands, under one epoch, within what they were given.</summary>
internal static class ControlRules
{
    /// <returns>Null when it is; otherwise why not, with who is in control.</returns>
    public static Refusal? WhyNot(SessionState state, CommandEnvelope envelope, PersonCaller caller, DecisionContext context)
    {
        if (envelope.Command is AcknowledgeHandoff acknowledge)
        {
            return Handoff(state, acknowledge, caller, context.Named);
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

        return Whose(state, envelope.Command, caller, context) ?? Epoch(state, envelope);
    }

    private static Refusal? Whose(SessionState state, SessionCommand command, PersonCaller caller, DecisionContext context) => command switch
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
        _ => WithinLoan(state, command, context),
    };

    private static Refusal? WithinLoan(SessionState state, SessionCommand command, DecisionContext context) => state.Control.Loan switch
    {
        null when command is GiveBackControl => new Refusal(RefusalCodes.ControlNotLent, "Control was not lent to you: it is yours.", "Give it up instead, or hand it over."),
        null => null,

        // Silence is theirs for as long as the epoch is, whatever else is over or missing.
        not null when ControlTasks.IsSilence(command) => null,
        { } loan when context.Facts.Now >= loan.Until => new Refusal(RefusalCodes.BeyondTask, $"The time for the task is over; control goes back to {loan.By.Name}.", $"Tell {loan.By.Name} what is still to do."),
        { } loan when !ControlTasks.Cover(loan, command, state) => new Refusal(RefusalCodes.BeyondTask, $"{loan.By.Name} lent you control to {AssistantTasks.Words(loan.Tasks)}, and nothing else.", $"Give control back, and let {loan.By.Name} do this."),
        { } loan when context.NotSignedOff is { Count: > 0 } lacking => new Refusal(RefusalCodes.BeyondTask, $"This needs a sign-off in date to {AssistantTasks.Words(lacking)}, which you do not have.", $"Give control back, and let {loan.By.Name} do this."),
        _ => state.Consent.WhyNot(ConsentPurpose.Assistant),
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

    /// <param name="state">The session.</param>
    /// <param name="acknowledge">The command.</param>
    /// <param name="caller">Who asks.</param>
    /// <param name="owner">The owner as the clinic knows them now; null when they are outside, or their account is closed: then nobody else could ever say it, and whoever sees sessions takes it up.</param>
    private static Refusal? Handoff(SessionState state, AcknowledgeHandoff acknowledge, PersonCaller caller, NamedPerson? owner) => state.OpenHandoff switch
    {
        { PersonId: { } gone, Name: var name } when owner is null && gone != caller.Id => string.IsNullOrWhiteSpace(acknowledge.How)
            ? new Refusal(RefusalCodes.Invalid, $"The next step was handed to {name}, who is not here any more.", "Write a line, e.g. that you take it up, or who does.")
            : null,
        { PersonId: { } id, Name: var name } when id != caller.Id => new Refusal(RefusalCodes.HandoffNotYours, $"The next step was handed to {name}.", $"Only {name} can say that it is in hand."),
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
