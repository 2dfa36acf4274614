using TeleHearing.Clinician.Web.Words;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.People;

/// <summary>Accounts in the owner's words.</summary>
internal static class PeopleWords
{
    /// <summary>Roles and what they are for, in one order.</summary>
    public static IReadOnlyList<(string Role, string What)> AllRoles { get; } =
    [
        (Roles.Owner, "people, rights, rules, audit"),
        (Roles.Clinician, "sessions and results"),
        (Roles.Coordinator, "kits and loans"),
        (Roles.Assistant, "helps at the site, within what is signed off"),
    ];

    /// <summary>How an account stands.</summary>
    public static string State(PersonLine person, TimeProvider time) => person.State switch
    {
        PersonState.Invited => $"○ invited; the link works until {FormWords.DayAndTime(person.Until ?? default, time)}",
        PersonState.LinkOver => "▲ no way in: give a new link",
        PersonState.Locked => $"▲ password locked until {FormWords.DayAndTime(person.Until ?? default, time)}, after wrong tries",
        PersonState.Closed => "✕ closed",
        _ => "● open",
    };

    /// <summary>By what somebody signs in.</summary>
    public static string Ways(PersonLine person)
    {
        string?[] ways =
        [
            person.Passkeys switch { 0 => null, 1 => "1 passkey", var many => $"{many} passkeys" },
            person.HasPassword ? "password and authenticator" : null,
            person.ThroughOrganisation ? "their organisation" : null,
        ];
        return ways.OfType<string>().ToList() is { Count: > 0 } some ? string.Join(", ", some) : "nothing set up";
    }
}
