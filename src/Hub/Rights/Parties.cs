using System.Security.Claims;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Rights;

/// <summary>Who asks, as far as rights are concerned. A person may be several of these; a kit is a kit and nothing else.</summary>
[Flags]
internal enum Parties
{
    /// <summary>Nobody at all.</summary>
    None = 0,

    Owner = 1,
    Clinician = 2,
    Coordinator = 4,
    Assistant = 8,

    /// <summary>A kit with a key of its own.</summary>
    Kit = 16,

    /// <summary>Whoever asks, signed in or not.</summary>
    Anyone = 32,

    /// <summary>A signed-in person of any role.</summary>
    People = Owner | Clinician | Coordinator | Assistant,
}

/// <summary>Which parties somebody is.</summary>
internal static class PartiesOf
{
    private static readonly (Parties Party, string Role)[] _roles =
    [
        (Parties.Owner, Roles.Owner),
        (Parties.Clinician, Roles.Clinician),
        (Parties.Coordinator, Roles.Coordinator),
        (Parties.Assistant, Roles.Assistant),
    ];

    /// <summary>Of a caller inside the hub.</summary>
    public static Parties Caller(Caller caller) => caller switch
    {
        KitCaller => Parties.Kit | Parties.Anyone,
        PersonCaller person => Person(person.Roles),
        _ => Parties.Anyone,
    };

    /// <summary>Of whoever sent a request. Whoever shows a person's cookie and a kit's key at once is neither.</summary>
    public static Parties Principal(ClaimsPrincipal principal)
    {
        var isKit = principal.HasClaim(claim => claim.Type == KitKeyHandler.KitClaim);
        var person = Person([.. principal.FindAll(ClaimTypes.Role).Select(claim => claim.Value)]);
        return (isKit, person == Parties.Anyone) switch
        {
            (true, true) => Parties.Kit | Parties.Anyone,
            (true, false) => Parties.Anyone,
            _ => person,
        };
    }

    /// <summary>Names of roles as people read them, in one order.</summary>
    public static IReadOnlyList<string> Names(Parties who) => [.. _roles.Where(role => who.HasFlag(role.Party)).Select(role => role.Role)];

    private static Parties Person(IReadOnlyList<string> roles) =>
        _roles.Where(role => roles.Contains(role.Role)).Aggregate(Parties.Anyone, (sum, role) => sum | role.Party);
}
