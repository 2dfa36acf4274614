using MediatR;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Storage;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning;

/// <summary>Make a plan of the fleet.</summary>
internal sealed record PlanFleet(FleetPlanAsk Ask, Caller Caller) : IHubRequest<FleetPlanStart>, IValidated
{
    public const int LongestSeconds = 600;

    public const int MostLaterDays = 60;

    public int? ProtocolVersion => null;

    public IReadOnlyList<string> Faults()
    {
        if (Ask is null)
        {
            return ["What is to be planned is missing."];
        }

        var faults = new List<string>();
        if (Ask.Seconds is < 1 or > LongestSeconds)
        {
            faults.Add($"Give 1 to {LongestSeconds} seconds for the search.");
        }

        if (Ask.LaterDays is < 0 or > MostLaterDays)
        {
            faults.Add($"Give 0 to {MostLaterDays} working days by which a session may be later.");
        }

        if (Ask.Until <= Ask.From || Ask.Until.DayNumber - Ask.From.DayNumber > PlanFaults.LongestHorizonDays)
        {
            faults.Add($"The plan must end after it begins, and within {PlanFaults.LongestHorizonDays} days.");
        }

        return faults;
    }

    public FleetPlanStart Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => "plan fleet";
}

/// <summary>A plan that is being made.</summary>
/// <param name="Progress">Every better plan, and the plan at last; absent when refused.</param>
/// <param name="Refusal">Why none is made.</param>
internal sealed record FleetPlanStart(IAsyncEnumerable<FleetPlanProgress>? Progress, Refusal? Refusal);

internal sealed class PlanFleetHandler : IRequestHandler<PlanFleet, FleetPlanStart>
{
    private readonly FleetFacts _fleet;
    private readonly KitFacts _kits;
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly FleetPlanRuns _runs;

    public PlanFleetHandler(FleetFacts fleet, KitFacts kits, IDbContextFactory<HubContext> contexts, FleetPlanRuns runs)
    {
        _fleet = fleet;
        _kits = kits;
        _contexts = contexts;
        _runs = runs;
    }

    public async Task<FleetPlanStart> Handle(PlanFleet request, CancellationToken cancellationToken)
    {
        var loaded = await _fleet.Load(cancellationToken);
        var context = await _fleet.Context(loaded.State, FleetFacts.Nobody, caresForKits: false, cancellationToken);
        if (request.Ask.From < context.Today)
        {
            return request.Refused(new Refusal(RefusalCodes.Invalid, $"{request.Ask.From:yyyy-MM-dd} is in the past: no kit can be sent then.", $"Plan from {context.Today:yyyy-MM-dd} on."));
        }

        var problem = PlanProblemBuilder.Build(request.Ask, loaded.State, context, await Holds(context, cancellationToken));
        return PlanFaults.Of(problem) is { Count: > 0 } faults
            ? request.Refused(new Refusal(RefusalCodes.Invalid, string.Join(" ", faults), "Put it right and plan again. Nothing was changed."))
            : _runs.Begin(request.Ask, (PersonCaller)request.Caller, problem);
    }

    /// <summary>What holds each kit besides its calibration, which the plan itself renews.</summary>
    private async Task<IReadOnlyDictionary<KitId, IReadOnlyList<string>>> Holds(FleetContext context, CancellationToken cancellationToken)
    {
        await using var database = await _contexts.CreateDbContextAsync(cancellationToken);
        var states = await _kits.States(await database.Kits.AsNoTracking().ToListAsync(cancellationToken), cancellationToken);
        return states.Values.ToDictionary(state => state.KitId, state => PlanHolds.Of(state, states.Values.Where(other => other.KitId != state.KitId), context.Today));
    }
}

/// <summary>End a search with the best plan so far.</summary>
internal sealed record StopFleetPlan(Guid PlanId, Caller Caller) : IHubRequest<FleetPlanStopped>
{
    public FleetPlanStopped Refused(Refusal refusal) => new(refusal);

    public string Trace() => $"stop fleet plan {PlanId}";
}

internal sealed class StopFleetPlanHandler : IRequestHandler<StopFleetPlan, FleetPlanStopped>
{
    private readonly FleetPlanRuns _runs;

    public StopFleetPlanHandler(FleetPlanRuns runs) => _runs = runs;

    public Task<FleetPlanStopped> Handle(StopFleetPlan request, CancellationToken cancellationToken) => Task.FromResult(new FleetPlanStopped(_runs.Stop(request.PlanId)));
}
