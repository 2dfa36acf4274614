using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Reads what may be asked from a picture. What the picture does not offer is not offered.</summary>
public static class MoveReading
{
    /// <summary>The person's no waits for nobody.</summary>
    private const string WithdrawConsent = "withdraw-consent";

    /// <summary>The move of a name for one person; a move that the picture does not name is not allowed.</summary>
    /// <remarks>A picture is the same for every watcher, so its moves are those of whoever is in control; for anyone else only what is about control itself, and taking consent back, are open.</remarks>
    /// <param name="view">Picture.</param>
    /// <param name="name">Name of the move.</param>
    /// <param name="personId">Id of the person who looks.</param>
    public static Move MoveFor(this SessionView view, string name, string? personId)
    {
        var move = view.Moves.FirstOrDefault(move => move.Name == name) ?? new Move(name, false, "The hub does not offer this now.");
        return !move.Allowed || name == WithdrawConsent || IsTheirs(view.Control, name, personId) ? move : new Move(name, false, WhoHasIt(view.Control, personId));
    }

    private static bool IsTheirs(ControlView control, string name, string? personId) => name switch
    {
        "take-control" => true,
        "request-control" or "take-over-control" => control.HolderId != personId && control.Loan?.ById != personId,
        "accept-control" => control.Offer?.PersonId == personId,
        "end-offer" => control.Offer?.PersonId == personId || control.HolderId == personId,
        "take-back-control" => control.Loan?.ById == personId,
        // Whose it is the strip knows: the owner's, anybody's for a party outside or one who is gone.
        "acknowledge-handoff" => control.OpenHandoff is not null,
        _ => control.HolderId == personId,
    };

    private static string WhoHasIt(ControlView control, string? personId) => control switch
    {
        { HolderName: null } => "Nobody is in control. Take control first.",
        { Loan: { } loan } when loan.ById == personId => $"You lent control to {control.HolderName}. Take it back first.",
        { Loan: { } loan } => $"{control.HolderName} has control for a task of {loan.ByName}. Ask for control, or take over with a reason.",
        _ when control.HolderId == personId => "This is for somebody else to decide.",
        _ => $"{control.HolderName} is in control. Ask for control, or take over with a reason.",
    };
}
