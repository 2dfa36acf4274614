using System.Collections.Concurrent;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>Reads the kit board and its timeline.</summary>
internal sealed class KitBoardReader
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly KitFacts _facts;
    private readonly FleetFactStore _fleet;
    private readonly KitLinks _links;
    private readonly TimeProvider _time;

    // What happened to a kit changes only with its facts, and the days it happened on with the clinic's zone.
    private readonly ConcurrentDictionary<string, (long Version, string Zone, IReadOnlyList<StageChange> Changes)> _changes = new();

    public KitBoardReader(IDbContextFactory<HubContext> contexts, KitFacts facts, FleetFactStore fleet, KitLinks links, TimeProvider time)
    {
        _contexts = contexts;
        _facts = facts;
        _fleet = fleet;
        _links = links;
        _time = time;
    }

    /// <summary>Every kit.</summary>
    public Task<KitBoardView> Read(CancellationToken cancellationToken) => Read(only: null, cancellationToken);

    /// <summary>The lines of kits.</summary>
    public async Task<KitBoardView> Read(IReadOnlySet<KitId>? only, CancellationToken cancellationToken)
    {
        var (kits, states) = await Load(cancellationToken);
        var fleet = (await _fleet.Load(cancellationToken)).State;
        var now = _time.GetUtcNow();
        var (terms, day) = (BoardTerms.Of(fleet), ClinicDay.Of(fleet, now));
        return new KitBoardView(
            now,
            day.Today,
            [.. kits.Where(kit => only is null || only.Contains(new KitId(kit.KitId))).Select(kit => Row(kit, states[kit.KitId], states.Values, terms, day, fleet))]);
    }

    /// <summary>A window of the timeline.</summary>
    public async Task<KitTimelineView> Read(KitTimelineQuery query, CancellationToken cancellationToken)
    {
        var day = await _facts.Day(cancellationToken);
        var (_, states) = await Load(cancellationToken);
        var shown = query.Kits.Where(kit => states.ContainsKey(kit.Value)).ToList();
        var sessions = await Sessions(query, shown, day, cancellationToken);
        return new KitTimelineView(
            query.From,
            query.Days,
            day.Today,
            [.. shown.Select(kit => KitTimeline.Row(kit, Changes(states[kit.Value], day), KitStandings.Of(states[kit.Value], states.Values, day), sessions[kit.Value], query, day.Today))]);
    }

    private KitBoardRow Row(KitEntity kit, KitState state, IEnumerable<KitState> others, BoardTerms terms, ClinicDay day, FleetState fleet)
    {
        var standing = KitStandings.Of(state, others, day, _facts.Limits) with { IncidentOpen = fleet.IncidentOpen(state.KitId) };
        var tasks = KitTasks.Of(standing, day.Today, terms);
        return new KitBoardRow(new KitId(kit.KitId), kit.Label, KitWay.Where(standing) ?? kit.Where, _links.IsOnline(new KitId(kit.KitId)), standing.Stage)
        {
            Since = standing.Since,
            Holds = standing.Holds.Count == 0 ? null : standing.Holds,
            Loan = standing.Next is { } loan ? new KitBoardLoan(loan.LoanId, loan.Place, loan.From, loan.DueBack) : null,
            CalibratedUntil = standing.CalibratedUntil,
            Calibration = standing.Calibration,
            Tasks = tasks.Count == 0 ? null : tasks,
        };
    }

    private IReadOnlyList<StageChange> Changes(KitState state, ClinicDay day)
    {
        if (!_changes.TryGetValue(state.KitId.Value, out var known) || known.Version != state.Version || known.Zone != day.Zone.Id)
        {
            known = (state.Version, day.Zone.Id, KitStandings.Changes(state, day));
            _changes[state.KitId.Value] = known;
        }

        return known.Changes;
    }

    private async Task<(IReadOnlyList<KitEntity> Kits, IReadOnlyDictionary<string, KitState> States)> Load(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var kits = await context.Kits.AsNoTracking().OrderBy(kit => kit.KitId).ToListAsync(cancellationToken);
        return (kits, await _facts.States(kits, cancellationToken));
    }

    private async Task<ILookup<string, DateOnly>> Sessions(KitTimelineQuery query, IReadOnlyList<KitId> kits, ClinicDay day, CancellationToken cancellationToken)
    {
        // A day wider at both ends: days are the clinic's, the table's times are not.
        var from = query.From.AddDays(-1).ToDateTime(TimeOnly.MinValue).Ticks;
        var to = query.From.AddDays(query.Days + 1).ToDateTime(TimeOnly.MinValue).Ticks;
        var names = kits.Select(kit => kit.Value).ToList();
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.Sessions.AsNoTracking()
            .Where(row => names.Contains(row.KitId) && row.PlannedStartTicks >= from && row.PlannedStartTicks < to)
            .Select(row => new { row.KitId, row.PlannedStartTicks })
            .ToListAsync(cancellationToken);
        return rows.ToLookup(row => row.KitId, row => day.On(new DateTimeOffset(row.PlannedStartTicks, TimeSpan.Zero)));
    }
}
