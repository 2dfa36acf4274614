using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Rights;

namespace TeleHearing.Hub.Tests.Rights;

/// <summary>One of each who may come to the hub.</summary>
internal static class Everyone
{
    public static IReadOnlyList<(string Role, Parties Party)> People { get; } =
    [
        (Roles.Owner, Parties.Owner),
        (Roles.Clinician, Parties.Clinician),
        (Roles.Coordinator, Parties.Coordinator),
        (Roles.Assistant, Parties.Assistant),
    ];

    public static IReadOnlyList<Caller> Callers { get; } = [.. People.Select(person => new PersonCaller("id", "name", [person.Role])), new KitCaller(new KitId("kit-01")), new PersonCaller("id", "without a role", [])];
}
