using System.Net;
using System.Net.Http.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Connection;

/// <summary>What is known of who uses this page.</summary>
public enum SignInState
{
    /// <summary>Not asked yet, or the hub could not be reached.</summary>
    Unknown,

    /// <summary>Signed in.</summary>
    SignedIn,

    /// <summary>Nobody is signed in.</summary>
    SignedOut,
}

/// <summary>The signed-in person, asked of the hub.</summary>
public sealed class Account(HttpClient http)
{
    /// <summary>Whether somebody is signed in.</summary>
    public SignInState State { get; private set; }

    /// <summary>The signed-in person.</summary>
    public Me? Me { get; private set; }

    /// <summary>Whether sessions may be opened by this person. The hub decides; this only spares a page that would be empty.</summary>
    public bool SeesSessions => Me is { } me && (me.Roles.Contains(Roles.Clinician) || me.Roles.Contains(Roles.Owner));

    /// <summary>Whether this person works here only on what is lent to them. The hub decides; this only spares pages that would be refused.</summary>
    public bool OnlyAssists => Me is { } me && me.Roles.Contains(Roles.Assistant) && !SeesSessions && !me.Roles.Contains(Roles.Coordinator);

    /// <summary>Whether this person looks after the kits: plans and sizes the fleet. The hub decides; this only spares pages that would be refused.</summary>
    public bool CaresForKits => Me is { } me && (me.Roles.Contains(Roles.Coordinator) || me.Roles.Contains(Roles.Owner));

    /// <summary>Whether this person owns the clinic: people, rights, audit. The hub decides; this only spares pages that would be refused.</summary>
    public bool Owns => Me is { } me && me.Roles.Contains(Roles.Owner);

    /// <summary>Asks the hub. A hub that cannot be reached leaves the state unknown.</summary>
    public async Task Ask(CancellationToken cancellationToken)
    {
        try
        {
            using var answer = await http.GetAsync(new Uri("api/me", UriKind.Relative), cancellationToken);
            if (answer.StatusCode is HttpStatusCode.Unauthorized or HttpStatusCode.Forbidden)
            {
                State = SignInState.SignedOut;
                Me = null;
            }
            else if (answer.IsSuccessStatusCode)
            {
                Me = await answer.Content.ReadFromJsonAsync<Me>(Protocol.Json, cancellationToken);
                State = Me is null ? SignInState.SignedOut : SignInState.SignedIn;
            }
        }
        catch (HttpRequestException)
        {
            // The page says that the hub cannot be reached and asks again.
        }
    }
}
