using System.Data.Common;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Pipeline;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>The log in the database. Appends that come together share one transaction and so one sync of the disk: whoever finds nobody writing writes for all that wait.</summary>
/// <remarks>It also knows whether anybody else has written: a session that was read or appended by this log is taken from memory only as long as nobody has, and is otherwise checked anew before anything is added to it (docs/decisions/0046).</remarks>
internal sealed class EventLog : IEventLog, IAsyncDisposable, IDisposable
{
    /// <summary>Most appends in one transaction (design): the first of them waits for all the others.</summary>
    private const int MostAtOnce = 64;

    /// <summary>How long what can wait does so for others to come (design).</summary>
    private static readonly TimeSpan _lateFor = TimeSpan.FromMilliseconds(20);

    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly LogDialect _dialect;
    private readonly TimeProvider _time;
    private readonly LogReaders _readers;
    private readonly Lock _lock = new();
    private readonly Queue<WaitingAppend> _ahead = new();
    private readonly Queue<WaitingAppend> _waiting = new();
    private readonly Queue<WaitingAppend> _late = new();
    private LogWriter? _writer;
    private long _beside;
    private bool _writing;
    private bool _lateIsDue;
    private bool _over;

    public EventLog(IDbContextFactory<HubContext> contexts, LogDialect dialect, TimeProvider time)
    {
        _contexts = contexts;
        _dialect = dialect;
        _time = time;
        _readers = new LogReaders(contexts);
    }

    /// <summary>Clock of what waits for others. Of the machine, not of the hub: a clock that stands still in a test must not keep anything from the disk.</summary>
    public TimeProvider LateClock { get; init; } = TimeProvider.System;

    public async Task<StoredSession?> Read(SessionId sessionId, CancellationToken cancellationToken)
    {
        // Asked before the rows are read: what changes in between is then looked at again rather than missed.
        var seen = Look();
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var plan = await context.Sessions.AsNoTracking().SingleOrDefaultAsync(row => row.SessionId == sessionId.Value, cancellationToken);
        return plan is null ? null : new StoredSession(plan, await LogWriter.Rows(context, sessionId.Value, cancellationToken), seen);
    }

    // A database that cannot say whether anybody else wrote is read and verified each time: a change in the middle of a log leaves its end as it is.
    public ValueTask<bool> IsStill(SessionId sessionId, SessionMark mark, CancellationToken cancellationToken) =>
        ValueTask.FromResult(_dialect.TellsOfOthers && mark.Seen > SessionMark.Unseen && mark.Seen == Look());

    public ValueTask<StoreMark?> Look(CancellationToken cancellationToken)
    {
        // In this order: what is committed in between then makes the mark an older one, never a newer one.
        var beside = Interlocked.Read(ref _beside);
        lock (_lock)
        {
            // Around its own transaction the connection cannot be asked, and somebody may have written since it was.
            var knows = !_writing || _writer is { HasTheFile: true };
            return ValueTask.FromResult<StoreMark?>(_dialect.TellsOfOthers && knows && Look() is > SessionMark.Unseen and var others ? new StoreMark(others, beside) : null);
        }
    }

    public void Wrote() => Interlocked.Increment(ref _beside);

    public Task<StoredReceipt?> FindReceipt(CommandId commandId, CancellationToken cancellationToken) => _readers.FindReceipt(commandId, cancellationToken);

    public Task<long> FindCursor(JournalId journalId, CancellationToken cancellationToken) => _readers.FindCursor(journalId, cancellationToken);

    public Task<ChainEnd?> FindEnd(SessionId sessionId, CancellationToken cancellationToken) => _readers.FindEnd(sessionId, cancellationToken);

    public Task<ChainEnd?> FindAuditEnd(CancellationToken cancellationToken) => _readers.FindAuditEnd(cancellationToken);

    public Task<long?> FindFactVersion(KitId kitId, CancellationToken cancellationToken) => _readers.FindFactVersion(kitId, cancellationToken);

    public Task<IReadOnlyList<ChangedSession>> FindChanged(long position, CancellationToken cancellationToken) => _readers.FindChanged(position, cancellationToken);

    public async Task<AppendOutcome> Append(AppendRows rows, CancellationToken cancellationToken)
    {
        var waiting = new WaitingAppend(rows, cancellationToken);
        var writes = false;
        lock (_lock)
        {
            ObjectDisposedException.ThrowIf(_over, this);
            (rows.Ahead ? _ahead : rows.Late ? _late : _waiting).Enqueue(waiting);
            if (!_writing)
            {
                writes = _writing = !rows.Late;
                WaitForLateInsideLock();
            }
        }

        if (writes)
        {
            // Nobody writes: this thread does, so that a single append waits for the disk and for nothing else.
            await WriteOnce();
        }

        return await waiting.Done.Task;
    }

    public async ValueTask DisposeAsync()
    {
        var last = new WaitingAppend(new AppendRows(), CancellationToken.None) { IsEnd = true };
        var writes = false;
        lock (_lock)
        {
            if (_over)
            {
                return;
            }

            _over = true;
            _late.Enqueue(last);
            (writes, _writing) = (!_writing, true);
        }

        if (writes)
        {
            await WriteOnce();
        }

        await last.Done.Task;
        LogWriter? writer;
        lock (_lock)
        {
            // Whoever still asks what was written hears that nobody knows.
            (writer, _writer) = (_writer, null);
        }

        if (writer is not null)
        {
            await writer.DisposeAsync();
        }

        await _readers.DisposeAsync();
    }

    public void Dispose() => DisposeAsync().AsTask().GetAwaiter().GetResult();

    /// <summary>The number of the last change by somebody else. While a group is being written it is the one that was seen when the group began; before anything was written nobody knows.</summary>
    private long Look()
    {
        if (!_dialect.TellsOfOthers)
        {
            return SessionMark.Unseen + 1;
        }

        lock (_lock)
        {
            if (_writer is not { Broken: false } writer)
            {
                return SessionMark.Unseen;
            }

            if (!_writing)
            {
                writer.Look();
            }

            return writer.Seen;
        }
    }

    /// <summary>Writes what waits now, then lets somebody else go on.</summary>
    private async Task WriteOnce()
    {
        try
        {
            await Write(Take());
        }
        finally
        {
            PassOn();
        }
    }

    private List<WaitingAppend> Take()
    {
        var group = new List<WaitingAppend>();
        lock (_lock)
        {
            while (group.Count < MostAtOnce && (_ahead.TryDequeue(out var next) || _waiting.TryDequeue(out next) || _late.TryDequeue(out next)))
            {
                if (next.Cancellation.IsCancellationRequested)
                {
                    next.Done.TrySetCanceled(next.Cancellation);
                }
                else
                {
                    group.Add(next);
                }
            }
        }

        return group;
    }

    private void PassOn()
    {
        lock (_lock)
        {
            if (_ahead.Count + _waiting.Count == 0 && !(_over && _late.Count > 0))
            {
                _writing = false;
                WaitForLateInsideLock();
                return;
            }
        }

        // Beside it: whoever wrote for the others has an answer of its own to give.
        _ = Aside.Run(WriteOnce);
    }

    private void WaitForLateInsideLock()
    {
        if (!_writing && !_lateIsDue && _late.Count > 0)
        {
            _lateIsDue = true;
            _ = WriteLate();
        }
    }

    private async Task WriteLate()
    {
        await Task.Delay(_lateFor, LateClock);
        lock (_lock)
        {
            _lateIsDue = false;
            if (_writing || _late.Count == 0)
            {
                return;
            }

            _writing = true;
        }

        await WriteOnce();
    }

#pragma warning disable CA1031 // whatever goes wrong must reach those who wait, and must not end the log
    private async Task Write(List<WaitingAppend> group)
    {
        if (group.TrueForAll(waiting => waiting.IsEnd))
        {
            group.ForEach(waiting => waiting.Settle(AppendOutcome.Appended, SessionMark.Unseen));
            return;
        }

        try
        {
            var kept = _writer is { Broken: false };
            var writer = await Writer();
            IReadOnlyList<AppendOutcome> outcomes;
            try
            {
                outcomes = await writer.Write(group.ConvertAll(waiting => waiting.Rows));
            }
            catch (DbException) when (kept && !writer.Began)
            {
                // The connection was lost while nobody wrote, as when a server was started anew: nothing of this was tried yet.
                await Abandon();
                writer = await Writer();
                outcomes = await writer.Write(group.ConvertAll(waiting => waiting.Rows));
            }

            // Said first: whoever hears of an append must not find what it wrote unsaid.
            for (var index = 0; index < group.Count; index++)
            {
                if (group[index].Rows.Beside is not null && outcomes[index] == AppendOutcome.Appended)
                {
                    Wrote();
                }
            }

            for (var index = 0; index < group.Count; index++)
            {
                group[index].Settle(outcomes[index], writer.Seen);
            }
        }
        catch (Exception fault)
        {
            await Abandon();
            if (group.Count == 1 || fault is CommitFailed)
            {
                group.ForEach(waiting => waiting.Fail(fault));
                return;
            }

            // One of them is at fault, and the others need not suffer for it: each by itself.
            foreach (var waiting in group)
            {
                await Write([waiting]);
            }
        }
    }

    private async Task<LogWriter> Writer()
    {
        if (_writer is { Broken: false } open)
        {
            return open;
        }

        // Numbers go on where the last connection stopped: what that one saw is never taken for what this one sees.
        var opened = await LogWriter.Open(_contexts, _dialect, _time, (_writer?.Seen ?? SessionMark.Unseen) + 1);
        lock (_lock)
        {
            return _writer = opened;
        }
    }

    /// <summary>A connection on which something failed is not used again.</summary>
    private async Task Abandon()
    {
        if (_writer is not { Broken: false } writer)
        {
            return;
        }

        writer.Broken = true;
        try
        {
            await writer.DisposeAsync();
        }
        catch (Exception second) when (second is DbException or InvalidOperationException)
        {
            // What is told is the first fault.
        }
    }
#pragma warning restore CA1031 // as before
}
