using System.Data.Common;
using System.Runtime.ExceptionServices;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage.Verification;

/// <summary>Whether lists show of each session what its events come to. Opens the seals of the events, unlike the walk along the chains.</summary>
internal static class SessionProjections
{
    public static async Task<IReadOnlyList<ChainFault>> Verify(DbConnection connection, Seals seals, CancellationToken cancellationToken)
    {
        var standings = Standings(connection, seals, cancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = """SELECT CAST("SessionId" AS TEXT), "Stage", "SealedController", "KitId", CASE WHEN "HandoffOpen" THEN 1 ELSE 0 END FROM sessions ORDER BY "SessionId" """;
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        var faults = new List<ChainFault>();
        while (await reader.ReadAsync(cancellationToken))
        {
            var id = reader.GetString(0);
            if (!standings.TryGetValue(id, out var standing))
            {
                // A session without events was found by its chain.
                continue;
            }

            var shown = new Standing(reader.GetString(1), SessionEntity.OpenController(seals, Guid.TryParse(id, out var guid) ? guid : default, reader.IsDBNull(2) ? null : reader.GetString(2)), reader.GetString(3), reader.GetInt64(4) != 0);
            if (shown != standing)
            {
                faults.Add(new ChainFault($"session {id.ToLowerInvariant()}", null, "lists show something else than its events come to."));
            }
        }

        return faults;
    }

    /// <summary>What every log comes to, worked out anew: read once, folded on all processors.</summary>
    internal static Dictionary<string, Standing> Standings(DbConnection connection, Seals seals, CancellationToken cancellationToken)
    {
        var standings = new Dictionary<string, Standing>(StringComparer.Ordinal);
        try
        {
            foreach (var (id, standing) in Logs(connection).AsParallel().WithCancellation(cancellationToken)
                .Select(log => (log.Id, Of(log.Rows.Select(row => row.Read(log.Session, seals)).Aggregate(SessionState.Empty(new SessionId(log.Session)), SessionFold.Apply)))))
            {
                // Rows of one session that stand apart were changed from outside; their chain says so.
                standings[id] = standing;
            }
        }
        catch (AggregateException faults)
        {
            // Whoever asked knows the faults of a database, not that several processors read it.
            ExceptionDispatchInfo.Throw(faults.Flatten().InnerExceptions[0]);
        }

        return standings;
    }

    private static Standing Of(SessionState state) => new(state.Stage.ToString(), state.Holder?.Name, state.KitId.Value, state.OpenHandoff is not null);

    private static IEnumerable<(string Id, Guid Session, List<StoredEvent> Rows)> Logs(DbConnection connection)
    {
        using var command = connection.CreateCommand();
        command.CommandText = """SELECT CAST("SessionId" AS TEXT), "Sequence", "Kind", "Shape", "Payload", "TimeTicks" FROM session_events ORDER BY "SessionId", "Sequence" """;
        using var reader = command.ExecuteReader();
        (string Id, Guid Session, List<StoredEvent> Rows)? log = null;
        while (reader.Read())
        {
            var id = reader.GetString(0);
            if (log?.Id != id)
            {
                if (log is { Rows.Count: > 0 } whole)
                {
                    yield return whole;
                }

                log = (id, Guid.TryParse(id, out var session) ? session : Guid.Empty, []);
            }

            // What was changed into nonsense is passed by: its chain says so.
            if (log is { Session: var known, Rows: var rows } && known != Guid.Empty && reader.GetInt64(5) is >= 0 and <= 3_155_378_975_999_999_999)
            {
                rows.Add(new StoredEvent(reader.GetInt64(1), reader.GetString(2), reader.GetInt64(3), reader.GetString(4), reader.GetInt64(5)));
            }
        }

        if (log is { Rows.Count: > 0 } last)
        {
            yield return last;
        }
    }

    /// <summary>What lists show of a session.</summary>
    internal sealed record Standing(string Stage, string? Controller, string Kit, bool HandoffOpen);

    private readonly record struct StoredEvent(long Sequence, string Kind, long Shape, string Payload, long TimeTicks)
    {
        public RecordedEvent Read(Guid session, Seals seals) => new(
            Sequence,
            new DateTimeOffset(TimeTicks, TimeSpan.Zero),
            EventCatalog.Read(Kind, (int)Math.Clamp(Shape, 0, int.MaxValue), seals.Open(SessionEventRow.ChainOf(session), Sequence, Kind, Payload)));
    }
}
