using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>What is needed to plan a session.</summary>
/// <param name="Person">The person tested.</param>
/// <param name="Place">Where the person will be, e.g. "at home, kit posted".</param>
/// <param name="PlannedStart">Planned start.</param>
/// <param name="KitId">The kit.</param>
/// <param name="ClinicianId">Account id of the clinician it is planned for.</param>
public sealed record SessionPlan(PersonTested Person, string Place, DateTimeOffset PlannedStart, KitId KitId, string ClinicianId);

/// <summary>Planning sessions.</summary>
public sealed class SessionSchedule
{
    private readonly KitFleet _kits;
    private readonly SessionStore _store;
    private readonly Broadcaster _broadcaster;

    internal SessionSchedule(KitFleet kits, SessionStore store, Broadcaster broadcaster)
    {
        _kits = kits;
        _store = store;
        _broadcaster = broadcaster;
    }

    /// <summary>Plans a session.</summary>
    /// <exception cref="InvalidOperationException">The kit is not entered.</exception>
    public async Task<SessionId> Plan(SessionPlan plan, CancellationToken cancellationToken)
    {
        if (!await _kits.IsEntered(plan.KitId, cancellationToken))
        {
            throw new InvalidOperationException($"There is no kit {plan.KitId}. Enter it first.");
        }

        var sessionId = SessionId.New();
        var row = new SessionEntity
        {
            SessionId = sessionId.Value,
            PersonReference = plan.Person.Reference,
            PersonName = plan.Person.Name,
            BirthDate = plan.Person.BirthDate,
            Referral = plan.Person.Referral,
            PersonLanguage = plan.Person.Language is { Length: > 0 } language ? language : null,
            Place = plan.Place,
            PlannedStartTicks = plan.PlannedStart.UtcTicks,
            KitId = plan.KitId.Value,
            ClinicianId = plan.ClinicianId,
            Stage = nameof(SessionStage.Scheduled),
        };
        await _store.Create(row, new SessionScheduled(plan.Person.Reference, plan.Place, plan.PlannedStart, plan.KitId, plan.ClinicianId), cancellationToken);
        _broadcaster.FleetChanged();
        return sessionId;
    }
}
