using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Parts;

/// <summary>How the hub's database behaves: how long each look into it takes, and whether it fails.</summary>
internal sealed class StoreWay(Random chance)
{
    private const int MostWaitMs = 15;
    private const int DiskFault = 10;

    /// <summary>Whether the disk is in trouble.</summary>
    public Func<bool> Fails { get; set; } = () => false;

    /// <summary>Told of every commit, after it is durable and before anybody hears of it.</summary>
    public Action<Machine> Committed { get; set; } = _ => { };

    /// <summary>Waits, so that whatever else goes on comes between; what runs on a dead machine waits for good.</summary>
    public async Task Wait(Machine machine)
    {
        if (chance.Next(8) == 0)
        {
            await Task.Delay(TimeSpan.FromMilliseconds(chance.Next(1, MostWaitMs)), machine.Clock, CancellationToken.None);
        }
        else
        {
            await Task.Yield();
        }
    }

    /// <exception cref="SqliteException">The disk is in trouble.</exception>
    public void Check()
    {
        if (Fails())
        {
            throw new SqliteException("disk I/O error", DiskFault);
        }
    }
}

/// <summary>The hub's way to its tables.</summary>
internal sealed class SlowContexts(IDbContextFactory<HubContext> inner, Machine machine, StoreWay way) : IDbContextFactory<HubContext>
{
    public HubContext CreateDbContext() => inner.CreateDbContext();

    public async Task<HubContext> CreateDbContextAsync(CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        cancellationToken.ThrowIfCancellationRequested();
        way.Check();
        return inner.CreateDbContext();
    }
}

/// <summary>The hub's way to its log.</summary>
internal sealed class SlowLog(IEventLog inner, Machine machine, StoreWay way) : IEventLog
{
    public async Task<StoredSession?> Read(SessionId sessionId, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        return await inner.Read(sessionId, cancellationToken);
    }

    public async ValueTask<bool> IsStill(SessionId sessionId, SessionMark mark, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        return await inner.IsStill(sessionId, mark, cancellationToken);
    }

    public async ValueTask<StoreMark?> Look(CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        return await inner.Look(cancellationToken);
    }

    public void Wrote() => inner.Wrote();

    public async Task<StoredReceipt?> FindReceipt(CommandId commandId, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        return await inner.FindReceipt(commandId, cancellationToken);
    }

    public async Task<long> FindCursor(JournalId journalId, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        return await inner.FindCursor(journalId, cancellationToken);
    }

    public async Task<ChainEnd?> FindEnd(SessionId sessionId, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        return await inner.FindEnd(sessionId, cancellationToken);
    }

    public async Task<ChainEnd?> FindAuditEnd(CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        return await inner.FindAuditEnd(cancellationToken);
    }

    public async Task<long?> FindFactVersion(KitId kitId, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        return await inner.FindFactVersion(kitId, cancellationToken);
    }

    public async Task<IReadOnlyList<ChangedSession>> FindChanged(long position, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        return await inner.FindChanged(position, cancellationToken);
    }

    public async Task<AppendOutcome> Append(AppendRows rows, CancellationToken cancellationToken)
    {
        await way.Wait(machine);
        way.Check();
        var outcome = await inner.Append(
            rows with
            {
                Committed = seen =>
                {
                    way.Committed(machine);
                    if (machine.Alive)
                    {
                        rows.Committed(seen);
                    }
                },
            },
            cancellationToken);
        await way.Wait(machine);
        return outcome;
    }
}
