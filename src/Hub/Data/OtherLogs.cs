using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Data;

/// <summary>A fact of a kit or of the fleet that tells of a person.</summary>
/// <param name="Log">"kit kit-01", or "fleet".</param>
/// <param name="Sequence">Its place there.</param>
/// <param name="At">When it was recorded.</param>
/// <param name="Kind">Its stored name.</param>
/// <param name="What">Its content.</param>
internal sealed record OtherEntry(string Log, long Sequence, DateTimeOffset At, string Kind, JsonNode What);

/// <summary>Finds what the logs of kits and of the fleet say of a person: thresholds under their code, what was done with a kit in their sessions, loans for those sessions with the place the kit goes to, and notes that name them.</summary>
internal sealed class OtherLogs(IDbContextFactory<HubContext> contexts, Seals seals)
{
    /// <summary>Name of the fleet's log.</summary>
    public const string Fleet = "fleet";

    /// <summary>A place as a log names it.</summary>
    private const string Place = "place";

    /// <summary>Finds it.</summary>
    /// <param name="sessions">Sessions of the person.</param>
    /// <param name="others">Sessions of everybody else: a place that is theirs as well says nothing of the person.</param>
    /// <param name="cancellationToken">Cancels.</param>
    public async Task<IReadOnlyList<OtherEntry>> About(IReadOnlyList<SessionEntity> sessions, IReadOnlyList<SessionEntity> others, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var kits = await context.KitFacts.AsNoTracking().OrderBy(row => row.KitId).ThenBy(row => row.Sequence).ToListAsync(cancellationToken);
        var fleet = await context.FleetFacts.AsNoTracking().OrderBy(row => row.Sequence).ToListAsync(cancellationToken);
        List<OtherEntry> all = [.. kits.Select(row => Entry("kit " + row.KitId, row, row.TimeTicks)).OfType<OtherEntry>(), .. fleet.Select(row => Entry(Fleet, row, row.TimeTicks)).OfType<OtherEntry>()];
        List<FleetFact> facts = [.. fleet.Select(row => FleetFactCatalog.Read(row.Kind, row.Shape, seals.Open(row)))];
        var theirs = Marks.Of(sessions, facts);
        var places = theirs.Places.Except(Marks.Of(others, facts).Places, StringComparer.Ordinal).ToHashSet(StringComparer.Ordinal);
        return [.. all.Where(entry => Tells(entry.What, null, theirs, places))];
    }

    private OtherEntry? Entry(string log, IChainedRow row, long ticks)
    {
        try
        {
            return seals.Open(row) is { Length: > 0 } text && JsonNode.Parse(text) is { } what ? new OtherEntry(log, row.Sequence, new DateTimeOffset(ticks, TimeSpan.Zero), row.Kind, what) : null;
        }
        catch (JsonException)
        {
            // It was changed from outside, and verify says so.
            return null;
        }
    }

    private static bool Tells(JsonNode? node, string? name, Marks theirs, HashSet<string> places) => node switch
    {
        JsonObject fields => fields.Any(field => Tells(field.Value, field.Key, theirs, places)),
        JsonArray items => items.Any(item => Tells(item, name, theirs, places)),
        JsonValue value when value.TryGetValue<string>(out var text) => theirs.Ids.Contains(text) || (name == Place && places.Contains(text)) || theirs.Words.IsMatch(text),
        _ => false,
    };

    /// <summary>By what a person is found.</summary>
    /// <param name="Ids">Their sessions, and loans for them.</param>
    /// <param name="Places">Where they are tested, and where kits were sent for it.</param>
    /// <param name="Words">Their code and name, as whole words.</param>
    private sealed record Marks(HashSet<string> Ids, HashSet<string> Places, Regex Words)
    {
        public static Marks Of(IReadOnlyList<SessionEntity> sessions, IReadOnlyList<FleetFact> fleet)
        {
            var ids = sessions.Select(session => session.SessionId.ToString()).ToHashSet(StringComparer.OrdinalIgnoreCase);
            var places = sessions.Select(session => session.Place).ToHashSet(StringComparer.Ordinal);
            foreach (var fact in fleet)
            {
                if (fact is LoanRequested { Request: var loan } && loan.Sessions.Any(session => ids.Contains(session.ToString())))
                {
                    ids.Add(loan.LoanId.ToString());
                    places.Add(loan.Place);
                }
                else if (fact is LoanSwapped swapped && ids.Contains(swapped.LoanId.ToString()))
                {
                    ids.Add(swapped.NewLoanId.ToString());
                }
            }

            return new Marks(ids, places, WholeWords.Any([.. sessions.SelectMany(session => new[] { session.PersonReference, session.PersonName })]));
        }
    }
}
