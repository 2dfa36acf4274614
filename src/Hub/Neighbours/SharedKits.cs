using System.Collections.Frozen;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Neighbours;

/// <summary>Which kits are linked to other hubs on the same database. A hub that is alone knows of none. Any thread.</summary>
internal sealed class SharedKits(IDbContextFactory<HubContext> contexts, HubSettings settings, HubClock clock, HubWire wire)
{
    private FrozenDictionary<string, KitLinkRow> _elsewhere = FrozenDictionary<string, KitLinkRow>.Empty;

    /// <summary>Whether a kit is linked to another hub, as of the last look.</summary>
    public bool IsElsewhere(KitId kitId) => Volatile.Read(ref _elsewhere).ContainsKey(kitId.Value);

    /// <summary>Its link there.</summary>
    public string? ConnectionElsewhere(KitId kitId) => Volatile.Read(ref _elsewhere).GetValueOrDefault(kitId.Value)?.ConnectionId;

    /// <summary>From now on the kit is linked here.</summary>
    public async Task Take(KitId kitId, string connectionId, CancellationToken cancellationToken)
    {
        if (!settings.IsShared)
        {
            return;
        }

        await using (var context = await contexts.CreateDbContextAsync(cancellationToken))
        {
            await context.Database.ExecuteSqlAsync(
                $"""INSERT INTO kit_links ("KitId", "HubId", "ConnectionId") VALUES ({kitId.Value}, {clock.RunId}, {connectionId}) ON CONFLICT ("KitId") DO UPDATE SET "HubId" = EXCLUDED."HubId", "ConnectionId" = EXCLUDED."ConnectionId" """,
                cancellationToken);
        }

        await Look(cancellationToken);
        wire.Tell(WireWord.Kits);
    }

    /// <summary>The link ended.</summary>
    /// <returns>Whether the kit is out of reach by that; not when it has come to another hub.</returns>
    public async Task<bool> Release(KitId kitId, string connectionId, CancellationToken cancellationToken)
    {
        if (!settings.IsShared)
        {
            return true;
        }

        int gone;
        await using (var context = await contexts.CreateDbContextAsync(cancellationToken))
        {
            gone = await context.KitLinks.Where(row => row.KitId == kitId.Value && row.HubId == clock.RunId && row.ConnectionId == connectionId).ExecuteDeleteAsync(cancellationToken);
        }

        await Look(cancellationToken);
        wire.Tell(WireWord.Kits);
        return gone == 1;
    }

    /// <summary>Reads anew where kits are.</summary>
    /// <returns>Kits that came to other hubs or went from them, and the links the store counts as this hub's.</returns>
    public async Task<(IReadOnlyList<KitId> Changed, IReadOnlyDictionary<string, string> Here)> Look(CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.KitLinks.AsNoTracking().ToListAsync(cancellationToken);
        var found = rows.Where(row => row.HubId != clock.RunId).ToFrozenDictionary(row => row.KitId);
        var before = Interlocked.Exchange(ref _elsewhere, found);
        return (
            [.. before.Keys.Except(found.Keys).Concat(found.Keys.Except(before.Keys)).Select(id => new KitId(id))],
            rows.Where(row => row.HubId == clock.RunId).ToDictionary(row => row.KitId, row => row.ConnectionId));
    }

    /// <summary>Takes away the links of hubs that are gone.</summary>
    /// <returns>Their kits.</returns>
    public async Task<IReadOnlyList<(KitId KitId, string ConnectionId)>> Orphans(CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.KitLinks.AsNoTracking().Where(row => !context.RunningHubs.Any(hub => hub.HubId == row.HubId)).ToListAsync(cancellationToken);
        return [.. rows.Select(row => (new KitId(row.KitId), row.ConnectionId))];
    }

    /// <summary>Takes such a link away.</summary>
    /// <returns>False when somebody did so before, or the kit has come to another hub.</returns>
    public async Task<bool> Bury(KitId kitId, string connectionId, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var gone = await context.KitLinks.Where(row => row.KitId == kitId.Value && row.ConnectionId == connectionId).ExecuteDeleteAsync(cancellationToken) == 1;
        await Look(cancellationToken);
        wire.Tell(WireWord.Kits);
        return gone;
    }
}
