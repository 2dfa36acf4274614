using TeleHearing.Hub.Identity.Own;
using TeleHearing.Hub.Identity.SetUp;

namespace TeleHearing.Hub.Rights;

/// <summary>Setting up one's account, and what one does with it.</summary>
internal static class AccountRows
{
    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new(
            "Set up an account with an invitation",
            Parties.Anyone,
            Door.Http("GET", SetUpEndpoints.Path),
            Door.Http("POST", SetUpEndpoints.Path + "/passkey/question"),
            Door.Http("POST", SetUpEndpoints.Path + "/passkey"),
            Door.Http("POST", SetUpEndpoints.Path + "/password")),
        new(
            "See one's own account, and prove anew that it is oneself",
            Parties.People,
            Door.Http("GET", AccountEndpoints.Path),
            Door.Http("POST", AccountEndpoints.Path + "/confirm"),
            Door.Http("POST", AccountEndpoints.Path + "/confirm/question")),
        new("Add a passkey to one's account", Parties.People, Door.Http("POST", AccountEndpoints.Path + "/passkeys/question"), Door.Http("POST", AccountEndpoints.Path + "/passkeys")) { NeedsConfirmation = true, Trail = Trail.Before },
        new("Remove a passkey from one's account", Parties.People, Door.Http("POST", AccountEndpoints.Path + "/passkeys/remove")) { NeedsConfirmation = true, Trail = Trail.Before },
        new("Change one's password", Parties.People, Door.Http("POST", AccountEndpoints.Path + "/password")) { NeedsConfirmation = true, Trail = Trail.Before },
        new("Set one's sign-in name, password and authenticator", Parties.People, Door.Http("POST", AccountEndpoints.Path + "/authenticator")) { NeedsConfirmation = true, Trail = Trail.Before },
        new("Make new recovery codes for oneself", Parties.People, Door.Http("POST", AccountEndpoints.Path + "/recovery-codes")) { NeedsConfirmation = true, Trail = Trail.Before },
        new("End all one's other sign-ins", Parties.People, Door.Http("POST", AccountEndpoints.Path + "/sign-ins/end")) { NeedsConfirmation = true, Trail = Trail.Before },
    ];
}
