using System.Data.Common;
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
        var states = await States(connection, seals, cancellationToken);
        await using var command = connection.CreateCommand();
        command.CommandText = """SELECT CAST("SessionId" AS TEXT), "Stage", "SealedController", "KitId", CASE WHEN "HandoffOpen" THEN 1 ELSE 0 END FROM sessions ORDER BY "SessionId" """;
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        var faults = new List<ChainFault>();
        while (await reader.ReadAsync(cancellationToken))
        {
            var id = reader.GetString(0);
            if (!states.TryGetValue(id, out var state))
            {
                // A session without events was found by its chain.
                continue;
            }

            var shown = (Stage: reader.GetString(1), Controller: SessionEntity.OpenController(seals, Guid.TryParse(id, out var guid) ? guid : default, reader.IsDBNull(2) ? null : reader.GetString(2)), Kit: reader.GetString(3), Handoff: reader.GetInt64(4) != 0);
            if (shown != (state.Stage.ToString(), state.Holder?.Name, state.KitId.Value, state.OpenHandoff is not null))
            {
                faults.Add(new ChainFault($"session {id.ToLowerInvariant()}", null, "lists show something else than its events come to."));
            }
        }

        return faults;
    }

    private static async Task<Dictionary<string, SessionState>> States(DbConnection connection, Seals seals, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = """SELECT CAST("SessionId" AS TEXT), "Sequence", "Kind", "Shape", "Payload", "TimeTicks" FROM session_events ORDER BY "SessionId", "Sequence" """;
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        var states = new Dictionary<string, SessionState>(StringComparer.Ordinal);
        while (await reader.ReadAsync(cancellationToken))
        {
            var id = reader.GetString(0);
            if (!Guid.TryParse(id, out var guid) || reader.GetInt64(5) is < 0 or > 3_155_378_975_999_999_999)
            {
                // Changed into nonsense: its chain says so.
                continue;
            }

            var recorded = new RecordedEvent(reader.GetInt64(1), new DateTimeOffset(reader.GetInt64(5), TimeSpan.Zero), EventCatalog.Read(reader.GetString(2), (int)Math.Clamp(reader.GetInt64(3), 0, int.MaxValue), seals.Open(SessionEventRow.ChainOf(guid), reader.GetInt64(1), reader.GetString(2), reader.GetString(4))));
            states[id] = states.TryGetValue(id, out var state) ? SessionFold.Apply(state, recorded) : SessionFold.Fold(new SessionId(guid), [recorded]);
        }

        return states;
    }
}
