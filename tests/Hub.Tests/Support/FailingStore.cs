using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A store whose disk takes nothing, or gives nothing, when it is told so: the log, and whatever is asked beside it.</summary>
internal sealed class FailingStore : DbCommandInterceptor
{
    private volatile bool _takesNothing;
    private volatile bool _givesNothing;

    public bool TakesNothing
    {
        get => _takesNothing;
        set => _takesNothing = value;
    }

    public bool GivesNothing
    {
        get => _givesNothing;
        set => _givesNothing = value;
    }

    /// <summary>Happens before the next append that goes ahead of others, once.</summary>
    public Func<Task>? BeforeSilence { get; set; }

    public void Configure(IServiceCollection services)
    {
        services.ConfigureDbContext<HubContext>(options => options.AddInterceptors(this));
        services.AddSingleton<IEventLog>(provider => new FailingLog(this, ActivatorUtilities.CreateInstance<EventLog>(provider)));
    }

    public override ValueTask<InterceptionResult<DbDataReader>> ReaderExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<DbDataReader> result, CancellationToken cancellationToken = default) =>
        new(Given(result));

    public override ValueTask<InterceptionResult<object>> ScalarExecutingAsync(DbCommand command, CommandEventData eventData, InterceptionResult<object> result, CancellationToken cancellationToken = default) =>
        new(Given(result));

    private T Given<T>(T result) => GivesNothing ? throw new IOException("The disk gives nothing.") : result;

    private sealed class FailingLog(FailingStore store, EventLog log) : IEventLog, IAsyncDisposable
    {
        public async Task<StoredSession?> Read(SessionId sessionId, CancellationToken cancellationToken) => store.Given(await log.Read(sessionId, cancellationToken));

        public async ValueTask<bool> IsStill(SessionId sessionId, SessionMark mark, CancellationToken cancellationToken) => store.Given(await log.IsStill(sessionId, mark, cancellationToken));

        public async ValueTask<StoreMark?> Look(CancellationToken cancellationToken) => store.Given(await log.Look(cancellationToken));

        public void Wrote() => log.Wrote();

        public async Task<StoredReceipt?> FindReceipt(CommandId commandId, CancellationToken cancellationToken) => store.Given(await log.FindReceipt(commandId, cancellationToken));

        public async Task<long> FindCursor(JournalId journalId, CancellationToken cancellationToken) => store.Given(await log.FindCursor(journalId, cancellationToken));

        public async Task<ChainEnd?> FindEnd(SessionId sessionId, CancellationToken cancellationToken) => store.Given(await log.FindEnd(sessionId, cancellationToken));

        public async Task<ChainEnd?> FindAuditEnd(CancellationToken cancellationToken) => store.Given(await log.FindAuditEnd(cancellationToken));

        public async Task<long?> FindFactVersion(KitId kitId, CancellationToken cancellationToken) => store.Given(await log.FindFactVersion(kitId, cancellationToken));

        public async Task<IReadOnlyList<ChangedSession>> FindChanged(long position, CancellationToken cancellationToken) => store.Given(await log.FindChanged(position, cancellationToken));

        public async Task<AppendOutcome> Append(AppendRows rows, CancellationToken cancellationToken)
        {
            if (rows.Ahead && store.BeforeSilence is { } happens)
            {
                store.BeforeSilence = null;
                await happens();
            }

            return store.TakesNothing ? throw new IOException("The disk takes nothing.") : await log.Append(rows, cancellationToken);
        }

        public ValueTask DisposeAsync() => log.DisposeAsync();
    }
}
