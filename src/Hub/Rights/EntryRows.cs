using TeleHearing.Contracts;

namespace TeleHearing.Hub.Rights;

/// <summary>Getting in and out, and what everyone may see.</summary>
internal static class EntryRows
{
    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new("Ask whether the hub runs", Parties.Anyone, Door.Http("GET", "/health")),
        new("Load the console's files, and be told that an address does not exist", Parties.Anyone, Door.Files, Door.Http("*", "/api/{**rest}")),
        new("Look at a sign-in link and use it", Parties.Anyone, Door.Http("GET", "/sign-in/{code}"), Door.Http("POST", "/sign-in/{code}")),
        new("Enrol a kit with a one-time code", Parties.Anyone, Door.Http("POST", Protocol.EnrolPath)),
        new("Sign out, and see one's own name and roles", Parties.People, Door.Http("POST", "/sign-out"), Door.Http("GET", "/api/me")) { WhileLocked = true },
    ];
}
