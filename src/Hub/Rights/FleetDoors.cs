using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Rights;

/// <summary>Doors of commands about the fleet and the practice.</summary>
internal static class FleetDoors
{
    /// <summary>Narrows a request for a kit to one for planned sessions.</summary>
    public const string ForSessions = "for planned sessions";

    /// <summary>Narrows the keeping of registrations to one's own.</summary>
    public const string OfOneself = "of oneself";

    /// <summary>The door of a command.</summary>
    public static string Of(FleetCommand command, Caller caller) => Door.Command(command.GetType(), command switch
    {
        RequestLoan { Sessions.Count: > 0 } => ForSessions,
        KeepRegistration { PersonId: { } about } when about == (caller as PersonCaller)?.Id => OfOneself,
        EndRegistration { PersonId: { } about } when about == (caller as PersonCaller)?.Id => OfOneself,
        _ => null,
    });
}
