using System.Security.Cryptography;
using System.Text;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>Numbers that may be used once.</summary>
internal interface ISeenOnce
{
    /// <summary>Takes a number.</summary>
    /// <param name="number">The number with whose it is.</param>
    /// <param name="until">From then on it would be refused for its age.</param>
    /// <returns>False when it was taken before.</returns>
    Task<bool> Take(string number, DateTimeOffset until);
}

/// <summary>Numbers that may be used once: those of assertions and proofs, as long as they could be used again. Kept in the store, so that a number counts at every hub and after a restart; only what was signed with a kit's key gets here. Any thread.</summary>
internal sealed class SeenOnce(IDbContextFactory<HubContext> contexts, TimeProvider time) : ISeenOnce
{
    private static readonly TimeSpan _between = TimeSpan.FromMinutes(1);

    private long _nextSweep = time.GetUtcNow().UtcTicks;

    /// <inheritdoc />
    public async Task<bool> Take(string number, DateTimeOffset until)
    {
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await Sweep(context);
        context.SeenOnce.Add(new SeenOnceRow { NumberHash = SHA256.HashData(Encoding.UTF8.GetBytes(number)), UntilTicks = until.UtcTicks });
        try
        {
            await context.SaveChangesAsync(CancellationToken.None);
            return true;
        }
        catch (DbUpdateException fault) when (StoreFaults.IsBrokenKey(fault))
        {
            return false;
        }
    }

    private async Task Sweep(HubContext context)
    {
        var (now, due) = (time.GetUtcNow().UtcTicks, Volatile.Read(ref _nextSweep));
        if (now >= due && Interlocked.CompareExchange(ref _nextSweep, now + _between.Ticks, due) == due)
        {
            await context.SeenOnce.Where(row => row.UntilTicks < now).ExecuteDeleteAsync(CancellationToken.None);
        }
    }
}
