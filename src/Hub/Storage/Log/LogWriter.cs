using System.Data.Common;
using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>The one connection on which a log writes. One group at a time; whoever uses it sees to that.</summary>
internal sealed class LogWriter : IAsyncDisposable
{
    private const string Aside = "append";

    private readonly HubContext _context;
    private readonly LogDialect _dialect;
    private readonly LogStatements _sql;
    private readonly AuditTail _audit;
    private readonly LogHeads _heads;
    private object? _othersWrote;
    private bool _contextJoined;

    private LogWriter(HubContext context, LogDialect dialect, TimeProvider time, long seen)
    {
        _context = context;
        _dialect = dialect;
        _sql = new LogStatements(context.Database.GetDbConnection(), dialect);
        _audit = new AuditTail(_sql, time);
        _heads = new LogHeads(knows: dialect.OthersWrote is not null);
        Seen = seen;
        _othersWrote = _sql.OthersWrote?.ExecuteScalar();
    }

    /// <summary>Number of the last change by somebody else that was seen.</summary>
    public long Seen { get; private set; }

    /// <summary>Whether the last transaction began at all. A connection that was lost while nobody wrote shows it there.</summary>
    public bool Began { get; private set; }

    /// <summary>Whether something failed on it.</summary>
    public bool Broken { get; set; }

    public static async Task<LogWriter> Open(IDbContextFactory<HubContext> contexts, LogDialect dialect, TimeProvider time, long seen)
    {
        var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        try
        {
            await context.Database.OpenConnectionAsync(CancellationToken.None);
            return new LogWriter(context, dialect, time, seen);
        }
        catch
        {
            await context.DisposeAsync();
            throw;
        }
    }

    /// <summary>The events of a session in order.</summary>
    public static Task<List<SessionEventRow>> Rows(HubContext context, Guid sessionId, CancellationToken cancellationToken) =>
        context.SessionEvents.AsNoTracking().Where(row => row.SessionId == sessionId).OrderBy(row => row.Sequence).ToListAsync(cancellationToken);

    /// <summary>Looks whether anybody else has written.</summary>
    public void Look()
    {
        if (_sql.OthersWrote?.ExecuteScalar() is { } now && !now.Equals(_othersWrote))
        {
            (_othersWrote, Seen) = (now, Seen + 1);
        }
    }

    /// <summary>Writes a group in one transaction; durable when this returns.</summary>
    /// <returns>What each of them came to. Those that lost a race have left nothing.</returns>
    /// <exception cref="CommitFailed">The commit failed.</exception>
    /// <exception cref="DbException">Something failed before; nothing was changed.</exception>
    public async Task<IReadOnlyList<AppendOutcome>> Write(IReadOnlyList<AppendRows> group)
    {
        Began = false;
        await using var transaction = await _context.Database.GetDbConnection().BeginTransactionAsync(CancellationToken.None);
        Began = true;
        _sql.Join(transaction);
        try
        {
            if (_sql.TakeLog is { } take)
            {
                await take.ExecuteNonQueryAsync(CancellationToken.None);
            }

            Look();
            var outcomes = new AppendOutcome[group.Count];
            for (var index = 0; index < group.Count; index++)
            {
                outcomes[index] = await Write(group[index], transaction);
            }

            await _audit.Add([.. group.Where((_, index) => outcomes[index] == AppendOutcome.Appended).SelectMany(rows => rows.Audit)], _dialect.OthersWrote is null ? SessionMark.Unseen : Seen);
            await Commit(transaction);
            return outcomes;
        }
        finally
        {
            _sql.Join(null);
            if (_contextJoined)
            {
                await _context.Database.UseTransactionAsync(null, CancellationToken.None);
                _contextJoined = false;
            }
        }
    }

    public async ValueTask DisposeAsync()
    {
        await _sql.DisposeAsync();
        await _context.DisposeAsync();
    }

    private static async Task Commit(DbTransaction transaction)
    {
        try
        {
            await transaction.CommitAsync(CancellationToken.None);
        }
        catch (Exception fault)
        {
            throw new CommitFailed(fault);
        }
    }

    private async Task<AppendOutcome> Write(AppendRows rows, DbTransaction transaction)
    {
        foreach (var session in rows.Sessions)
        {
            if (!await Follows(session, transaction))
            {
                return AppendOutcome.LostRace;
            }
        }

        // Where something may be left half done, it is taken back alone, without the rest of the group.
        if (rows.Beside is null && (rows.Receipt is null || rows.Cursor is null))
        {
            return await Add(rows, transaction);
        }

        await transaction.SaveAsync(Aside, CancellationToken.None);
        var outcome = await Add(rows, transaction);
        _context.ChangeTracker.Clear();
        await (outcome == AppendOutcome.Appended ? transaction.ReleaseAsync(Aside, CancellationToken.None) : transaction.RollbackAsync(Aside, CancellationToken.None));
        return outcome;
    }

    private async Task<AppendOutcome> Add(AppendRows rows, DbTransaction transaction)
    {
        if (rows.Receipt is { } receipt && await _sql.Add(receipt) == 0)
        {
            return AppendOutcome.CarriedOutBefore;
        }

        // A cursor that is further on already means that the same reports came twice at once.
        if ((rows.Cursor is { } cursor && await _sql.Move(cursor) == 0)
            || (rows.Beside is { } beside && !await beside(await Context(transaction), CancellationToken.None)))
        {
            return AppendOutcome.LostRace;
        }

        foreach (var session in rows.Sessions)
        {
            await _sql.Add(session);

            // Also before the commit: a writer on which something failed is not used again.
            _heads.Keep(session.SessionId, session.Events[^1], Seen);
        }

        return AppendOutcome.Appended;
    }

    /// <summary>The context, inside the transaction.</summary>
    private async Task<HubContext> Context(DbTransaction transaction)
    {
        if (!_contextJoined)
        {
            await _context.Database.UseTransactionAsync(transaction, CancellationToken.None);
            _contextJoined = true;
        }

        return _context;
    }

    /// <summary>Whether the events follow on what is stored. Where somebody else has written since the session was read, its whole chain is checked again.</summary>
    private async Task<bool> Follows(SessionRows session, DbTransaction transaction)
    {
        var before = session.Before;
        var (version, hash) = _heads.Find(session.SessionId, Seen) ?? await _sql.Head(session.SessionId);
        if (version != before.Version || before.Seen == SessionMark.Damaged)
        {
            return version == before.Version;
        }

        if (!(hash ?? HashChain.Start).AsSpan().SequenceEqual(before.HeadHash))
        {
            return false;
        }

        return _dialect.OthersWrote is null || before.Seen == Seen || HashChain.Verify(await Rows(await Context(transaction), session.SessionId, CancellationToken.None), before.Version).Valid;
    }
}
