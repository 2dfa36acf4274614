using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits;

/// <summary>Which session a kit is in.</summary>
internal sealed class KitSessions
{
    private static readonly string[] _open = [.. Enum.GetValues<SessionStage>().Where(Stages.IsOpen).Select(stage => stage.ToString())];

    private readonly IDbContextFactory<HubContext> _contexts;

    public KitSessions(IDbContextFactory<HubContext> contexts) => _contexts = contexts;

    /// <summary>The open session of a kit; of several the one with the newest event.</summary>
    public async Task<SessionId?> FindOpen(KitId kitId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var found = await context.Sessions.AsNoTracking()
            .Where(row => row.KitId == kitId.Value && _open.Contains(row.Stage))
            .OrderByDescending(row => row.LastEventTicks)
            .Select(row => (Guid?)row.SessionId)
            .FirstOrDefaultAsync(cancellationToken);
        return found is { } id ? new SessionId(id) : null;
    }

    /// <summary>Every open session with its kit.</summary>
    public async Task<IReadOnlyList<SessionId>> AllOpen(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var found = await context.Sessions.AsNoTracking().Where(row => _open.Contains(row.Stage)).Select(row => row.SessionId).ToListAsync(cancellationToken);
        return [.. found.Select(id => new SessionId(id))];
    }

    /// <summary>Sessions of a kit that are not over: those whose picture depends on whether it is connected.</summary>
    public async Task<IReadOnlyList<SessionId>> Waiting(KitId kitId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var found = await context.Sessions.AsNoTracking()
            .Where(row => row.KitId == kitId.Value && (_open.Contains(row.Stage) || row.Stage == nameof(SessionStage.Scheduled)))
            .Select(row => row.SessionId)
            .ToListAsync(cancellationToken);
        return [.. found.Select(id => new SessionId(id))];
    }
}
