using System.Threading.Channels;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Audit;

/// <summary>Writes the audit. One writer puts what came together into one transaction, so that many entries share a sync of the disk. Its loop begins with the first entry and ends when the hub does; what was taken before is written.</summary>
internal sealed class AuditLog : IAsyncDisposable
{
    /// <summary>Most entries in one transaction.</summary>
    private const int MostAtOnce = 256;

    private readonly Channel<Waiting> _waiting = Channel.CreateUnbounded<Waiting>(new UnboundedChannelOptions { SingleReader = true });
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;
    private readonly Lazy<Task> _loop;

    public AuditLog(IDbContextFactory<HubContext> contexts, TimeProvider time)
    {
        _contexts = contexts;
        _time = time;
        _loop = new Lazy<Task>(() => Task.Run(Loop));
    }

    /// <summary>Writes an entry and waits until it is durable.</summary>
    /// <exception cref="DbUpdateException">It could not be written.</exception>
    public async Task Write(AuditEntry entry)
    {
        var waiting = new Waiting(entry, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously));
        if (!_waiting.Writer.TryWrite(waiting))
        {
            throw new DbUpdateException("The hub is stopping and records nothing more.");
        }

        _ = _loop.Value;
        await waiting.Done.Task;
    }

    public async ValueTask DisposeAsync()
    {
        _waiting.Writer.TryComplete();
        if (_loop.IsValueCreated)
        {
            await _loop.Value;
        }
    }

    private async Task Loop()
    {
        var batch = new List<Waiting>();
        while (await _waiting.Reader.WaitToReadAsync(CancellationToken.None))
        {
            batch.Clear();
            while (batch.Count < MostAtOnce && _waiting.Reader.TryRead(out var waiting))
            {
                batch.Add(waiting);
            }

            await Append(batch);
        }
    }

    private async Task Append(List<Waiting> batch)
    {
        try
        {
            await using var context = await _contexts.CreateDbContextAsync(CancellationToken.None);
            await using var transaction = await context.Database.BeginTransactionAsync(CancellationToken.None);
            await AuditChain.Append(context, [.. batch.Select(waiting => waiting.Entry)], _time.GetUtcNow());
            await transaction.CommitAsync(CancellationToken.None);
            batch.ForEach(waiting => waiting.Done.TrySetResult());
        }
#pragma warning disable CA1031 // whatever goes wrong must reach those who wait, and must not end the writer
        catch (Exception fault)
#pragma warning restore CA1031 // as before
        {
            batch.ForEach(waiting => waiting.Done.TrySetException(new DbUpdateException("The audit could not be written.", fault)));
        }
    }

    private sealed record Waiting(AuditEntry Entry, TaskCompletionSource Done);
}
