using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Views;

/// <summary>Control as a console shows it, and in sentences.</summary>
internal static class ControlViews
{
    public static ControlView Of(SessionState state) => new(state.Epoch, state.Holder?.Id, state.Holder?.Name)
    {
        Loan = state.Control.Loan is { } loan ? new ControlLoanView(loan.By.Id, loan.By.Name, loan.Tasks, loan.Until) { SideProofDbHl = loan.SideProofDbHl } : null,
        Requests = [.. state.Control.Asks.Select(ask => new ControlRequestView(ask.By.Id, ask.By.Name, ask.Why, ask.At))],
        DeclinedIds = state.Control.Declined,
        Offer = state.Control.Offer is { } offer ? new ControlOfferView(offer.To.Id, offer.To.Name, offer.Why) : null,
        LastChange = state.Control.Change is { } change ? Sentence(change) : null,
        HeldBeforeId = state.Control.Before?.Id,
        OpenHandoff = state.OpenHandoff,
    };

    /// <returns>Null when the event is not about control.</returns>
    public static string? Sentence(SessionEvent happened) => happened switch
    {
        ControlTaken e => $"{e.Holder.Name} took control.",
        ControlReleased e => $"{e.By.Name} gave up control.",
        ControlAsked e => $"{e.By.Name} asked for control: {e.Why}",
        ControlDeclined e => $"{e.By.Name} kept control; {e.To.Name} had asked." + After(e.Why),
        ControlGranted e => $"{e.By.Name} handed control to {e.To.Name}, who had asked.",
        ControlTakenOver e => $"{e.By.Name} took control over from {e.From.Name}: {e.Reason}",
        ControlOffered e => $"{e.By.Name} offered control to {e.To.Name}: {e.Why}",
        ControlOfferEnded e => $"{(e.By.Id == e.To.Id ? $"{e.To.Name} turned the offer of control down." : $"{e.By.Name} took the offer of control to {e.To.Name} back.")}" + After(e.Why),
        ControlHandedOver e => $"{e.To.Name} accepted control from {e.From.Name}.",
        ControlLent e => string.Create(CultureInfo.InvariantCulture, $"{e.By.Name} lent control to {e.To.Name} to {AssistantTasks.Words(e.Tasks)}, until {e.Until.UtcDateTime:HH:mm} UTC."),
        ControlLentBefore e => Sentence(e.InTasksOfToday()),
        ControlReturned e => $"Control is with {e.To.Name} again: " + e.End switch
        {
            ControlLoanEnd.GivenBack => $"{e.From.Name} gave it back.",
            ControlLoanEnd.TakenBack => $"taken back from {e.From.Name}.",
            ControlLoanEnd.TimeOver => $"the time of {e.From.Name}'s task is over.",
            ControlLoanEnd.Consent => $"an assistant is not agreed to any more; {e.From.Name} has no task.",
            ControlLoanEnd.Silent => $"{e.From.Name}'s console was not heard any more.",
            _ => "the loan ended.",
        },
        ControlLapsed e => $"Control lapsed: the console of {e.From.Name} was not heard any more." + (e.HeldAt is null ? string.Empty : " The session is on hold."),
        HandoffAcknowledged e => $"{e.Owner.Name} has the next step in hand." + (e.Owner.PersonId is null ? $" Recorded by {e.By.Name}." : string.Empty) + After(e.How),
        _ => null,
    };

    private static string After(string? reason) => string.IsNullOrWhiteSpace(reason) ? string.Empty : " " + reason.Trim();
}
