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

    /// <summary>Whether its own person is changing the account just now.</summary>
    public bool Stays { get; init; }
}

/// <summary>The consoles that are connected, and the way to end them. A session goes on in its safe state: the kit, its lease and its limits are the hub's and not the console's. Any thread.</summary>
public sealed class LivePeople
{
    private readonly ConcurrentDictionary<string, LiveConsole> _consoles = new(StringComparer.Ordinal);

    /// <summary>A person's last console was closed by the hub.</summary>
    internal event Action<string>? PutOut;

    /// <summary>Closes all live consoles of a person at once, whatever their cookies say. To keep them from coming back, end their sign-ins or change the security stamp of the account first.</summary>
    public void End(string personId) => End(console => console.PersonId == personId);

    /// <summary>The consoles by their connections.</summary>
    internal IReadOnlyDictionary<string, LiveConsole> ByConnection => _consoles;

    internal IReadOnlyList<LiveConsole> All => [.. _consoles.Values];

    internal void Came(string connectionId, LiveConsole console) => _consoles[connectionId] = console;

    internal void Went(string connectionId) => _consoles.TryRemove(connectionId, out _);

    /// <summary>By which sign-in a console came; null when it is not connected.</summary>
    internal string? SignInOf(string connectionId) => _consoles.TryGetValue(connectionId, out var console) ? console.SignInId : null;

    /// <summary>Closes one connection.</summary>
    internal void Cut(string connectionId)
    {
        if (_consoles.TryGetValue(connectionId, out var console))
        {
            console.Abort();
        }
    }

    internal void EndSignIn(string signInId) => End(console => console.SignInId == signInId);

    /// <summary>The browser got a newer cookie for the same sign-in.</summary>
    internal void Prolong(string signInId, DateTimeOffset until) => Change(signInId, console => console with { ExpiresAt = until });

    /// <summary>The account is about to change by this sign-in's own doing: until <see cref="Stay"/> says how, its consoles are not closed for that.</summary>
    internal void Change(string signInId) => Change(signInId, console => console with { Stays = true });

    /// <summary>The account has changed, and this sign-in goes on.</summary>
    internal void Stay(string signInId, string? stamp) => Change(signInId, console => console with { Stays = false, Stamp = stamp ?? console.Stamp });

    private void Change(string signInId, Func<LiveConsole, LiveConsole> change)
    {
        foreach (var id in _consoles.Where(pair => pair.Value.SignInId == signInId).Select(pair => pair.Key))
        {
            while (_consoles.TryGetValue(id, out var console) && !_consoles.TryUpdate(id, change(console), console))
            {
                // Somebody else changed it meanwhile.
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
