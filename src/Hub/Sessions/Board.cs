using Microsoft.EntityFrameworkCore;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>Reads the start page.</summary>
internal sealed class Board
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;
    private readonly KitLinks _links;
    private readonly KitFacts _facts;

    public Board(IDbContextFactory<HubContext> contexts, TimeProvider time, KitLinks links, KitFacts facts)
    {
        _facts = facts;
        _contexts = contexts;
        _time = time;
        _links = links;
    }

    public async Task<BoardView> Read(bool withSessions, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var kits = await context.Kits.AsNoTracking().OrderBy(row => row.KitId).ToListAsync(cancellationToken);
        List<SessionEntity> sessions = withSessions
            ? await context.Sessions.AsNoTracking().OrderBy(row => row.PlannedStartTicks).ToListAsync(cancellationToken)
            : [];
        var states = await _facts.States(kits, cancellationToken);
        var today = (await _facts.Day(cancellationToken)).Today;
        var limits = _facts.Limits;
        return new BoardView(_time.GetUtcNow(), [.. sessions.Select(Row)], [.. kits.Select(kit => Row(kit, states, today, limits))]);
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
