using MediatR;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet.Demand;

/// <summary>What the records say of demand, cycles and losses.</summary>
internal sealed record ReadFleetHistory(Caller Caller) : IHubRequest<FleetHistoryReply>
{
    public FleetHistoryReply Refused(Refusal refusal) => new(null, refusal);

    public string Trace() => "read fleet history";
}

internal sealed class ReadFleetHistoryHandler : IRequestHandler<ReadFleetHistory, FleetHistoryReply>
{
    private readonly FleetFacts _fleet;
    private readonly KitFacts _kits;
    private readonly IDbContextFactory<HubContext> _contexts;

    public ReadFleetHistoryHandler(FleetFacts fleet, KitFacts kits, IDbContextFactory<HubContext> contexts)
    {
        _fleet = fleet;
        _kits = kits;
        _contexts = contexts;
    }

    public async Task<FleetHistoryReply> Handle(ReadFleetHistory request, CancellationToken cancellationToken)
    {
        var state = (await _fleet.Load(cancellationToken)).State;
        await using var database = await _contexts.CreateDbContextAsync(cancellationToken);
        var kits = await _kits.States(await database.Kits.AsNoTracking().ToListAsync(cancellationToken), cancellationToken);
        var zone = ClinicDay.ZoneOf(state);
        return new FleetHistoryReply(FleetHistoryBuilder.Build(state, [.. kits.Values], _fleet.Today(state), zone), null);
    }
}
