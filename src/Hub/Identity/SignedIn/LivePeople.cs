using System.Collections.Concurrent;

namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>A console that is connected now.</summary>
/// <param name="PersonId">Whose.</param>
/// <param name="SignInId">By which sign-in.</param>
/// <param name="Stamp">Security stamp of the account when it connected.</param>
/// <param name="Roles">Roles with which it connected; they hold for as long as it is connected.</param>
/// <param name="Abort">Closes it.</param>
internal sealed record LiveConsole(string PersonId, string SignInId, string? Stamp, IReadOnlySet<string> Roles, Action Abort)
{
    /// <summary>When the cookie it came with grows too old; absent when the cookie does not say.</summary>
    public DateTimeOffset? ExpiresAt { get; init; }
}

/// <summary>The consoles that are connected, and the way to end them. A session goes on in its safe state: the kit, its lease and its limits are the hub's and not the console's. Any thread.</summary>
public sealed class LivePeople
{
    private readonly ConcurrentDictionary<string, LiveConsole> _consoles = new(StringComparer.Ordinal);

    /// <summary>A person's last console was closed by the hub.</summary>
    internal event Action<string>? PutOut;

    /// <summary>Closes all live consoles of a person at once, whatever their cookies say. To keep them from coming back, end their sign-ins or change the security stamp of the account first.</summary>
    public void End(string personId) => End(console => console.PersonId == personId);

    /// <summary>Whether a console of this person is connected.</summary>
    internal bool IsHere(string personId) => _consoles.Values.Any(console => console.PersonId == personId);

    internal IReadOnlyList<LiveConsole> All => [.. _consoles.Values];

    internal void Came(string connectionId, LiveConsole console) => _consoles[connectionId] = console;

    internal void Went(string connectionId) => _consoles.TryRemove(connectionId, out _);

    internal void EndSignIn(string signInId) => End(console => console.SignInId == signInId);

    /// <summary>The browser got a newer cookie for the same sign-in.</summary>
    internal void Prolong(string signInId, DateTimeOffset until)
    {
        foreach (var (id, console) in _consoles)
        {
            if (console.SignInId == signInId)
            {
                _consoles.TryUpdate(id, console with { ExpiresAt = until }, console);
            }
        }
    }

    internal void End(Func<LiveConsole, bool> which)
    {
        var ending = _consoles.Where(pair => which(pair.Value)).ToList();
        foreach (var (_, console) in ending)
        {
            console.Abort();
        }

        foreach (var person in ending.Select(pair => pair.Value.PersonId).Distinct())
        {
            if (!_consoles.Any(pair => pair.Value.PersonId == person && !which(pair.Value)))
            {
                PutOut?.Invoke(person);
            }
        }
    }
}
