using System.Collections.Concurrent;
using System.Security.Cryptography;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>Names of links that were given and not yet greeted on. Each serves one hello. Any thread.</summary>
internal sealed class KitChallenges
{
    private readonly ConcurrentDictionary<string, string> _links = new(StringComparer.Ordinal);

    /// <summary>Gives a connection its name.</summary>
    public KitChallenge Give(string connectionId, string kitNonce)
    {
        var challenge = new KitChallenge(System.Buffers.Text.Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(32)));
        _links[connectionId] = challenge.LinkWith(kitNonce);
        return challenge;
    }

    /// <summary>Uses a name up; nothing when none was given.</summary>
    public string? Take(string connectionId) => _links.TryRemove(connectionId, out var link) ? link : null;
}
