namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>A key that seals what is stored about one session, or what the clinic stores besides. Destroying it makes what it sealed unreadable for good.</summary>
internal sealed class DataKeyRow
{
    /// <summary>Rises with every key: who knows the keys up to here asks only for later ones.</summary>
    public long Position { get; set; }

    /// <summary>What it seals, see <see cref="Seals.ScopeOf(string)"/>.</summary>
    public required string Scope { get; set; }

    /// <summary>The key, wrapped by the hub's own keys; absent once it is destroyed.</summary>
    public string? Wrapped { get; set; }

    /// <summary>Hub time, UTC ticks.</summary>
    public long MadeTicks { get; set; }

    /// <summary>When it was destroyed.</summary>
    public long? DestroyedTicks { get; set; }
}
