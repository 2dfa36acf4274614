using System.Data.Common;
using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>The one connection on which a log writes. One group at a time; whoever uses it sees to that.</summary>
internal sealed class LogWriter : IAsyncDisposable
{
    private readonly HubContext _context;
    private readonly LogConnection _connection;
    private readonly LogDialect _dialect;
    private readonly LogStatements _sql;
    private readonly AuditTail _audit;
    private readonly LogHeads _heads;
    private long? _othersWrote;
    private volatile bool _hasTheFile;

    private LogWriter(HubContext context, LogDialect dialect, TimeProvider time, long seen)
    {
        _context = context;
        _dialect = dialect;
        _connection = dialect.Connect(context);
        _sql = new LogStatements(_connection, dialect);
        _audit = new AuditTail(_sql, time);
        _heads = new LogHeads(knows: dialect.TellsOfOthers);
        Seen = seen;
        _othersWrote = _connection.OthersWrote();
    }

    /// <summary>Number of the last change by somebody else that was seen.</summary>
    public long Seen { get; private set; }

    /// <summary>Whether the last transaction began at all. A connection that was lost while nobody wrote shows it there.</summary>
    public bool Began { get; private set; }

    /// <summary>Whether it is inside a transaction, so that nobody else can have written since <see cref="Seen"/> was found.</summary>
    public bool HasTheFile => _hasTheFile;

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
        if (_connection.OthersWrote() is { } now && now != _othersWrote)
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
        await _connection.Begin();
        Began = true;
        try
        {
            if (_sql.TakeLog is { } take)
            {
                await take.Run();
            }

            Look();
            _hasTheFile = true;
            var outcomes = new AppendOutcome[group.Count];
            var audit = new List<AuditText>();
            for (var index = 0; index < group.Count; index++)
            {
                outcomes[index] = await Write(group[index]);
                if (outcomes[index] == AppendOutcome.Appended)
                {
                    audit.AddRange(group[index].Audit);
                }
            }

            await _audit.Add(audit, _dialect.TellsOfOthers ? Seen : SessionMark.Unseen);

            // The file is let go of inside the commit, and nobody can say when.
            _hasTheFile = false;
            await Commit();
            return outcomes;
        }
        finally
        {
            _hasTheFile = false;
            await _connection.End();
        }
    }

    public async ValueTask DisposeAsync()
    {
        await _sql.DisposeAsync();
        await _connection.DisposeAsync();
    }

    private async Task Commit()
    {
        try
        {
            await _connection.Commit();
        }
        catch (Exception fault)
        {
            throw new CommitFailed(fault);
        }
    }

    private async Task<AppendOutcome> Write(AppendRows rows)
    {
        foreach (var session in rows.Sessions)
        {
            if (!await Follows(session))
            {
                return AppendOutcome.LostRace;
            }
        }

        // Where something may be left half done, it is taken back alone, without the rest of the group.
        if (rows.Beside is null && (rows.Receipt is null || rows.Cursor is null))
        {
            return await Add(rows);
        }

        await _connection.Mark();
        var outcome = await Add(rows);
        _context.ChangeTracker.Clear();
        await _connection.Unmark(keep: outcome == AppendOutcome.Appended);
        return outcome;
    }

    private async Task<AppendOutcome> Add(AppendRows rows)
    {
        if (rows.Receipt is { } receipt && await _sql.Add(receipt) == 0)
        {
            return AppendOutcome.CarriedOutBefore;
        }

        // A cursor that is further on already means that the same reports came twice at once.
        if ((rows.Cursor is { } cursor && await _sql.Move(cursor) == 0)
            || (rows.Beside is { } beside && !await beside(await _connection.Context(), CancellationToken.None)))
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

    /// <summary>Whether the events follow on what is stored. Where somebody else has written since the session was read, its whole chain is checked again.</summary>
    private async Task<bool> Follows(SessionRows session)
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

        return !_dialect.TellsOfOthers || before.Seen == Seen || HashChain.Verify(await Rows(await _connection.Context(), session.SessionId, CancellationToken.None), before.Version).Valid;
    }
}
