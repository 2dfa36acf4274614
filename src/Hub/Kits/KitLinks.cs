using System.Collections.Concurrent;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits;

/// <summary>Which kits are connected. The newest connection of a kit is the kit's; a late disconnect of an older one changes nothing.</summary>
internal sealed class KitLinks
{
    private readonly ConcurrentDictionary<KitId, string> _connections = new();

    public bool IsOnline(KitId kitId) => _connections.ContainsKey(kitId);

    public void Connected(KitId kitId, string connectionId) => _connections[kitId] = connectionId;

    /// <returns>Whether the kit is now gone.</returns>
    public bool Disconnected(KitId kitId, string connectionId) => _connections.TryRemove(new KeyValuePair<KitId, string>(kitId, connectionId));
}
