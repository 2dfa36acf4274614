using System.Collections.Concurrent;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Neighbours;

/// <summary>When the console of whoever commands a session was last heard by any of the hubs. A hub that is alone has it in memory and writes nothing. Any thread.</summary>
internal sealed partial class ControlHeard(IDbContextFactory<HubContext> contexts, HubSettings settings, HubClock clock, TimeProvider time, ILogger<ControlHeard> log)
{
    /// <summary>Often enough for a life of control of 20 s, the shortest that can be set.</summary>
    private static readonly TimeSpan _between = TimeSpan.FromSeconds(4);

    private readonly ConcurrentDictionary<(SessionId Session, string Person, string? SignIn), long> _noted = new();

    /// <summary>It was heard here; waits for nothing.</summary>
    public void Note(SessionId sessionId, PersonCaller person)
    {
        var now = time.GetTimestamp();
        if (!settings.IsShared || (_noted.TryGetValue((sessionId, person.Id, person.SignInId), out var last) && time.GetElapsedTime(last, now) < _between))
        {
            return;
        }

        _noted[(sessionId, person.Id, person.SignInId)] = now;
        _ = Write(sessionId, person, clock.SharedNow.UtcTicks);
    }

    /// <summary>How long ago, and by which sign-in; nothing where no hub has noted it.</summary>
    public async Task<(TimeSpan Ago, string? SignInId)?> Last(SessionId sessionId, string personId, CancellationToken cancellationToken)
    {
        if (!settings.IsShared)
        {
            return null;
        }

        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var heard = await context.ControlHeard.Where(row => row.SessionId == sessionId.Value && row.PersonId == personId).Select(row => new { row.HeardTicks, row.SignInId }).SingleOrDefaultAsync(cancellationToken);
        return heard is null ? null : (clock.SharedNow - new DateTimeOffset(heard.HeardTicks, TimeSpan.Zero), heard.SignInId);
    }

    /// <summary>All consoles of a person were closed: what was heard before counts no more.</summary>
    public async Task Gone(string personId)
    {
        if (!settings.IsShared)
        {
            return;
        }

        foreach (var noted in _noted.Keys.Where(noted => noted.Person == personId))
        {
            _noted.TryRemove(noted, out _);
        }

        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await context.ControlHeard.Where(row => row.PersonId == personId).ExecuteUpdateAsync(set => set.SetProperty(row => row.HeardTicks, 0), CancellationToken.None);
    }

    private async Task Write(SessionId sessionId, PersonCaller person, long ticks)
    {
        try
        {
            await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
            await context.Database.ExecuteSqlAsync(
                $"""INSERT INTO control_heard ("SessionId", "PersonId", "SignInId", "HeardTicks") VALUES ({sessionId.Value}, {person.Id}, {person.SignInId}, {ticks}) ON CONFLICT ("SessionId", "PersonId") DO UPDATE SET "SignInId" = EXCLUDED."SignInId", "HeardTicks" = EXCLUDED."HeardTicks" """,
                CancellationToken.None);
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            // The next word of the console is seconds away; until then the one before counts.
            _noted.TryRemove((sessionId, person.Id, person.SignInId), out _);
            Log.NotNoted(log, fault, sessionId);
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 4101, Level = LogLevel.Warning, Message = "That the console of session {SessionId} was heard could not be noted for the other hubs")]
        public static partial void NotNoted(ILogger logger, Exception fault, SessionId sessionId);
    }
}
