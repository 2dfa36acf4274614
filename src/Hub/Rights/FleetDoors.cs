using TeleHearing.Contracts;

namespace TeleHearing.Hub.Rights;

/// <summary>Doors of commands about the fleet.</summary>
internal static class FleetDoors
{
    /// <summary>Narrows a request for a kit to one for planned sessions.</summary>
    public const string ForSessions = "for planned sessions";

    /// <summary>The door of a command.</summary>
    public static string Of(FleetCommand command) => Door.Command(command.GetType(), command is RequestLoan { Sessions.Count: > 0 } ? ForSessions : null);
}
