using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Audit;

/// <summary>One thing that somebody did or was refused, by ids alone: no name, no health data.</summary>
/// <param name="Act">What: a door of the rights table, or one of <see cref="AuditActs"/>.</param>
/// <param name="PersonId">Account of who did it; absent for a kit and for somebody unknown.</param>
/// <param name="KitId">Kit that did it; absent for a person.</param>
/// <param name="About">What it was about, e.g. "session 0196…", "kit kit-01".</param>
/// <param name="Refused">Code of the refusal; absent when it was done.</param>
/// <param name="Times">How many times within a minute: a flood of the same refusal is counted, not lost.</param>
internal sealed record AuditEntry(string Act, string? PersonId, string? KitId, IReadOnlyList<string> About, string? Refused, int Times = 1)
{
    /// <summary>Number of the shape of the stored form.</summary>
    public const int Shape = 1;

    /// <summary>The stored form, beside <see cref="Act"/>.</summary>
    public string Payload() => JsonSerializer.Serialize(new Stored(PersonId, KitId, About, Refused, Times), Protocol.Json);

    /// <summary>Reads the stored form.</summary>
    /// <returns>Null when it cannot be read: it was changed by hand, and the chain says so.</returns>
    public static AuditEntry? Read(string act, string payload)
    {
        try
        {
            return JsonSerializer.Deserialize<Stored>(payload, Protocol.Json) is { } stored ? new AuditEntry(act, stored.PersonId, stored.KitId, stored.About ?? [], stored.Refused, stored.Times) : null;
        }
        catch (JsonException)
        {
            // As said above.
            return null;
        }
    }

    private sealed record Stored(string? PersonId, string? KitId, IReadOnlyList<string>? About, string? Refused, int Times);
}

/// <summary>Acts that have no door of their own.</summary>
internal static class AuditActs
{
    public const string SignedIn = "signed in";
    public const string SignInRefused = "sign-in refused";
    public const string StoreSealed = "store sealed";
    public const string PersonExported = "person exported";
    public const string PersonErased = "person erased";
    public const string BackedUp = "backup made";
    public const string Restored = "backup restored";
    public const string SignedOut = "signed out";
    public const string HeadMissing = "head of a chain shown that the store does not hold";
    public const string OtherSiteRefused = "request of another site refused";
    public const string Confirmed = "confirmed that it is them";
    public const string ConsoleCovered = "console covered";
    public const string SignedInByOrganisation = "signed in through the organisation";
    public const string ProofRefused = "passkey, password or code refused";
    public const string Locked = "password locked after wrong tries";
    public const string LinkPrinted = "link printed by command line";
    public const string SetUp = "account set up";
    public const string RolesSet = "roles set by the organisation";
    public const string PersonEntered = "person entered by command line";
}
