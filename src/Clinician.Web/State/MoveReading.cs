using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Reads what may be asked from a picture. What the picture does not offer is not offered.</summary>
public static class MoveReading
{
    private const string TakeControl = "take-control";

    /// <summary>The person's no waits for nobody.</summary>
    private const string WithdrawConsent = "withdraw-consent";

    /// <summary>The move of a name for one person; a move that the picture does not name is not allowed.</summary>
    /// <remarks>A picture is the same for every watcher, so its moves are those of whoever is in control; for anyone else only taking control and taking consent back are open.</remarks>
    /// <param name="view">Picture.</param>
    /// <param name="name">Name of the move.</param>
    /// <param name="personId">Id of the person who looks.</param>
    public static Move MoveFor(this SessionView view, string name, string? personId)
    {
        var move = view.Moves.FirstOrDefault(move => move.Name == name) ?? new Move(name, false, "The hub does not offer this now.");
        if (!move.Allowed || name is TakeControl or WithdrawConsent || view.Control.HolderId == personId)
        {
            return move;
        }

        return new Move(name, false, view.Control.HolderName is { } holder ? $"{holder} is in control. Ask for control to be given up, then take it." : "Nobody is in control. Take control first.");
    }
}
