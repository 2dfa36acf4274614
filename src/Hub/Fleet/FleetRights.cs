using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Fleet;

/// <summary>Who may record what about the fleet.</summary>
internal static class FleetRights
{
    /// <summary>Why a caller may not ask this; absent when they may. A clinician asks for a kit for planned sessions, and takes that back.</summary>
    public static Refusal? MayAsk(Caller caller, FleetCommand? command) => command is RequestLoan { Sessions.Count: > 0 } or WithdrawLoan
        ? Rights.AnyOf(caller, Roles.Coordinator, Roles.Clinician, Roles.Owner)
        : Rights.AnyOf(caller, Roles.Coordinator, Roles.Owner);

    /// <summary>Who may see the fleet.</summary>
    public static Refusal? MayWatch(Caller caller) => Rights.AnyOf(caller, Roles.Coordinator, Roles.Clinician, Roles.Owner);

    /// <summary>Whether they look after the kits.</summary>
    public static bool CaresForKits(Caller caller) => Rights.AnyOf(caller, Roles.Coordinator, Roles.Owner) is null;
}
