using TeleHearing.Contracts;

namespace TeleHearing.Hub.Rights;

/// <summary>Getting in and out, and what everyone may see.</summary>
internal static class EntryRows
{
    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new("Ask whether the hub runs, and whether it is ready", Parties.Anyone, Door.Http("GET", "/health"), Door.Http("GET", "/health/ready")),
        new("Load the console's files, and be told that an address does not exist", Parties.Anyone, Door.Files, Door.Http("*", "/api/{**rest}")),
        new(
            "Sign in with a passkey, or with a password and a code",
            Parties.Anyone,
            Door.Http("GET", "/sign-in"),
            Door.Http("POST", "/sign-in"),
            Door.Http("POST", "/sign-in/passkey"),
            Door.Http("POST", "/sign-in/passkey/question")),
        new("Look at a sign-in link and use it", Parties.Anyone, Door.Http("GET", "/sign-in/{code}"), Door.Http("POST", "/sign-in/{code}")),
        new("Go to the sign-in of one's organisation", Parties.Anyone, Door.Http("GET", "/sign-in/organisation")),
        new("Enrol a kit with a one-time code", Parties.Anyone, Door.Http("POST", Protocol.EnrolPath)),
        new("Exchange what a kit signed with its key for a token", Parties.Anyone, Door.Http("POST", Protocol.KitTokenPath)),
        new("Sign out, and see one's own name and roles", Parties.People, Door.Http("POST", "/sign-out"), Door.Http("GET", "/api/me")) { WhileLocked = true },
        new("Prove again that it is you", Parties.People, Door.Http("POST", "/api/confirm"), Door.Http("POST", "/api/confirm/question")) { WhileLocked = true },
        new("Say whether somebody is at one's console, and cover it", Parties.People, Door.Http("POST", "/api/lock")) { WhileLocked = true },

        // Nothing is written first: silence waits for nothing, and each hold it comes to leaves an entry of its own.
        new("Silence all sessions one controls, and put them on hold", Parties.People, Door.Http("POST", "/api/silence")) { WhileLocked = true },
    ];
}
