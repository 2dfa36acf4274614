using System.Collections.Concurrent;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits;

/// <summary>Lets one coming or going of a kit be handled at a time, so that a late going is never recorded over a newer coming.</summary>
internal sealed class PresenceGate
{
    private readonly ConcurrentDictionary<KitId, SemaphoreSlim> _gates = new();

    public async Task<T> Alone<T>(KitId kitId, Func<Task<T>> work, CancellationToken cancellationToken)
    {
        var gate = _gates.GetOrAdd(kitId, _ => new SemaphoreSlim(1, 1));
        await gate.WaitAsync(cancellationToken);
        try
        {
            return await work();
        }
        finally
        {
            gate.Release();
        }
    }
}
