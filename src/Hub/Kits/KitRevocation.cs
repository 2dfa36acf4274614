using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Kits;

/// <summary>Takes the right away from a kit that is lost, stolen or given back.</summary>
public sealed class KitRevocation
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly IEventLog _log;
    private readonly TimeProvider _time;
    private readonly KitLinks _links;
    private readonly PresenceGate _gate;

    internal KitRevocation(IDbContextFactory<HubContext> contexts, IEventLog log, TimeProvider time, KitLinks links, PresenceGate gate)
    {
        _contexts = contexts;
        _log = log;
        _time = time;
        _links = links;
        _gate = gate;
    }

    /// <summary>From now on the kit's key opens nothing, its journal keys are gone, and an open connection is closed. It can be enrolled anew.</summary>
    /// <returns>False when there is no such kit.</returns>
    public Task<bool> Revoke(KitId kitId, string reason, CancellationToken cancellationToken) =>
        // Not beside a greeting of the same kit: it would find the right still there and the link not yet.
        _gate.Alone(kitId, () => RevokeAlone(kitId, reason, cancellationToken), cancellationToken);

    private async Task<bool> RevokeAlone(KitId kitId, string reason, CancellationToken cancellationToken)
    {
        var now = _time.GetUtcNow().UtcTicks;
        await using (var context = await _contexts.CreateDbContextAsync(cancellationToken))
        {
            await using var transaction = await context.Database.BeginTransactionAsync(cancellationToken);
            if (!await KitKeyWriter.Revoke(context, kitId, now, cancellationToken))
            {
                return false;
            }

            await transaction.CommitAsync(CancellationToken.None);
        }

        _log.Wrote();
        _links.Revoke(kitId, reason);
        return true;
    }
}
