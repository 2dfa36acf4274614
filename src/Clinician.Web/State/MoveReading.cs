using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Reads what may be asked from a picture. Nothing here decides: what the picture does not offer is not offered.</summary>
public static class MoveReading
{
    /// <summary>The move of a name; one that the picture does not name is not allowed.</summary>
    public static Move MoveFor(this SessionView view, string name) =>
        view.Moves.FirstOrDefault(move => move.Name == name) ?? new Move(name, false, "The hub does not offer this now.");
}
