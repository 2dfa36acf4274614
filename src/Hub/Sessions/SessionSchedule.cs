using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
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
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;

    public SessionSchedule(IDbContextFactory<HubContext> contexts, TimeProvider time)
    {
        _contexts = contexts;
        _time = time;
    }

    /// <summary>Plans a session.</summary>
    /// <exception cref="InvalidOperationException">The kit is not entered.</exception>
    public async Task<SessionId> Plan(SessionPlan plan, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        if (!await context.Kits.AnyAsync(row => row.KitId == plan.KitId.Value, cancellationToken))
        {
            throw new InvalidOperationException($"There is no kit {plan.KitId}. Enter it first.");
        }

        var sessionId = SessionId.New();
        context.Sessions.Add(new SessionEntity
        {
            SessionId = sessionId.Value,
            PersonReference = plan.Person.Reference,
            PersonName = plan.Person.Name,
            BirthDate = plan.Person.BirthDate,
            Referral = plan.Person.Referral,
            Place = plan.Place,
            PlannedStartTicks = plan.PlannedStart.UtcTicks,
            KitId = plan.KitId.Value,
            ClinicianId = plan.ClinicianId,
            Stage = nameof(SessionStage.Scheduled),
            LastEventTicks = _time.GetUtcNow().UtcTicks,
        });
        await context.SaveChangesAsync(cancellationToken);
        return sessionId;
    }
}
