using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Neighbours;

/// <summary>Whose consoles are connected to which hub. A hub that is alone writes nothing. Any thread.</summary>
internal sealed class SharedConsoles(IDbContextFactory<HubContext> contexts, HubSettings settings, HubClock clock)
{
    /// <summary>A console came.</summary>
    public async Task Came(string connectionId, string personId)
    {
        if (settings.IsShared)
        {
            await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
            await context.Database.ExecuteSqlAsync($"""INSERT INTO live_consoles ("ConnectionId", "HubId", "PersonId") VALUES ({connectionId}, {clock.RunId}, {personId}) ON CONFLICT DO NOTHING""", CancellationToken.None);
        }
    }

    /// <summary>It went.</summary>
    public async Task Went(string connectionId)
    {
        if (settings.IsShared)
        {
            await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
            await context.LiveConsoles.Where(row => row.ConnectionId == connectionId).ExecuteDeleteAsync(CancellationToken.None);
        }
    }

    /// <summary>This hub has closed the last console of a person.</summary>
    /// <returns>Whether another hub has one.</returns>
    public async Task<bool> AnyElsewhere(string personId)
    {
        if (!settings.IsShared)
        {
            return false;
        }

        // One's own first: of two hubs that close at once the later one sees none.
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await context.LiveConsoles.Where(row => row.PersonId == personId && row.HubId == clock.RunId).ExecuteDeleteAsync(CancellationToken.None);
        return await context.LiveConsoles.AnyAsync(row => row.PersonId == personId && context.RunningHubs.Any(hub => hub.HubId == row.HubId), CancellationToken.None);
    }

    /// <summary>Takes away those of hubs that are gone.</summary>
    public async Task BuryOrphans(CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        await context.LiveConsoles.Where(row => !context.RunningHubs.Any(hub => hub.HubId == row.HubId)).ExecuteDeleteAsync(cancellationToken);
    }
}
