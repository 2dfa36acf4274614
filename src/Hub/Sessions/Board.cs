using Microsoft.EntityFrameworkCore;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>What somebody sees of the start page.</summary>
/// <param name="Sessions">All sessions.</param>
/// <param name="Kits">All kits.</param>
/// <param name="TasksOf">The tasks lent to this person; null for everyone but assistants.</param>
internal sealed record BoardSight(bool Sessions, bool Kits, string? TasksOf)
{
    public static BoardSight Of(Caller caller)
    {
        var parties = PartiesOf.Caller(caller);
        var sessions = RightsTable.SeesSessions(caller);
        return new BoardSight(
            sessions,
            sessions || parties.HasFlag(Parties.Coordinator) || caller is not PersonCaller,
            parties.HasFlag(Parties.Assistant) ? (caller as PersonCaller)?.Id : null);
    }
}

/// <summary>Reads the start page.</summary>
internal sealed class Board
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;
    private readonly KitLinks _links;
    private readonly KitFacts _facts;
    private readonly ControlLeases _leases;
    private readonly SessionStore _store;

    public Board(IDbContextFactory<HubContext> contexts, TimeProvider time, KitLinks links, KitFacts facts, ControlLeases leases, SessionStore store)
    {
        (_leases, _store) = (leases, store);
        _facts = facts;
        _contexts = contexts;
        _time = time;
        _links = links;
    }

    /// <summary>What somebody may see of it.</summary>
    public async Task<BoardView> Read(BoardSight sight, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        List<KitEntity> kits = sight.Kits ? await context.Kits.AsNoTracking().OrderBy(row => row.KitId).ToListAsync(cancellationToken) : [];
        List<SessionEntity> sessions = sight.Sessions
            ? await context.Sessions.AsNoTracking().OrderBy(row => row.PlannedStartTicks).ToListAsync(cancellationToken)
            : [];
        var states = await _facts.States(kits, cancellationToken);
        var today = (await _facts.Day(cancellationToken)).Today;
        var limits = _facts.Limits;
        return new BoardView(_time.GetUtcNow(), [.. sessions.Select(Row)], [.. kits.Select(kit => Row(kit, states, today, limits))])
        {
            Tasks = sight.TasksOf is { } assistant ? await Tasks(context, assistant, cancellationToken) : [],
            Handoffs = await Handoffs(sessions.Where(row => row.HandoffOpen).OrderBy(row => row.LastEventTicks), cancellationToken),
        };
    }

    /// <summary>Who owns the next step stands in the events alone; few sessions wait for it.</summary>
    private async Task<IReadOnlyList<HandoffRow>> Handoffs(IEnumerable<SessionEntity> waiting, CancellationToken cancellationToken)
    {
        var rows = new List<HandoffRow>();
        foreach (var row in waiting)
        {
            var sessionId = new SessionId(row.SessionId);
            if (await _store.Load(sessionId, cancellationToken) is { State.OpenHandoff: { } owner })
            {
                rows.Add(new HandoffRow(sessionId, row.PersonName, owner));
            }
        }

        return rows;
    }

    /// <summary>Sessions of which a task is lent to an assistant, without why the person was referred.</summary>
    private async Task<IReadOnlyList<SessionRow>> Tasks(HubContext context, string assistant, CancellationToken cancellationToken)
    {
        var lent = _leases.LentTo(assistant).Select(session => session.Value).ToList();
        var rows = await context.Sessions.AsNoTracking().Where(row => lent.Contains(row.SessionId)).OrderBy(row => row.PlannedStartTicks).ToListAsync(cancellationToken);
        return [.. rows.Select(Row).Select(row => row with { Person = row.Person with { Referral = string.Empty } })];
    }

    private SessionRow Row(SessionEntity row) => new(
        new SessionId(row.SessionId),
        new DateTimeOffset(row.PlannedStartTicks, TimeSpan.Zero),
        new PersonTested(row.PersonReference, row.PersonName, row.BirthDate, row.Referral) { Language = row.PersonLanguage ?? string.Empty },
        row.Place,
        new KitPresence(new KitId(row.KitId), _links.IsOnline(new KitId(row.KitId))),
        Enum.Parse<SessionStage>(row.Stage),
        row.ControllerName);

    private KitRow Row(KitEntity row, IReadOnlyDictionary<string, KitState> states, DateOnly today, ParcelLimits limits)
    {
        var state = states[row.KitId];
        var until = KitJudgement.HoldsUntil(state);
        var holds = KitHolds.Of(state, states.Values, today);
        var listed = Row(row) with
        {
            Where = KitWay.Where(state, row.Where),
            CalibratedUntil = until,
            CalibrationDaysLeft = until is { } last ? CalibrationValidity.DaysLeft(last, today) : null,
            Calibration = until is { } end ? CalibrationValidity.Standing(end, today) : null,
            Holds = [.. holds.Select(hold => hold.Sentence)],
            Due = KitJudgement.Due(state, today, limits),
        };
        return JourneyViews.With(listed, state, holds, today);
    }

    private KitRow Row(KitEntity row) => new(
        new KitId(row.KitId),
        row.Label,
        row.Where,
        _links.IsOnline(new KitId(row.KitId)),
        row.LastSeenTicks is { } ticks ? new DateTimeOffset(ticks, TimeSpan.Zero) : null,
        row.PublicKeyPem is not null && row.RevokedTicks is null,
        row.AgentVersion);
}
