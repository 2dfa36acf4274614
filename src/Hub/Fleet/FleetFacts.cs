using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet;

/// <summary>Reads what is known of the fleet, and what decisions about it need.</summary>
internal sealed class FleetFacts
{
    private readonly FleetFactStore _store;
    private readonly KitFacts _kits;
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;

    public FleetFacts(FleetFactStore store, KitFacts kits, IDbContextFactory<HubContext> contexts, TimeProvider time)
    {
        _store = store;
        _kits = kits;
        _contexts = contexts;
        _time = time;
    }

    /// <inheritdoc cref="FleetFactStore.Load"/>
    public Task<LoadedFleet> Load(CancellationToken cancellationToken) => _store.Load(cancellationToken);

    /// <inheritdoc cref="FleetFactStore.Verify"/>
    public Task<LoadedFleet> Verify(CancellationToken cancellationToken) => _store.Verify(cancellationToken);

    /// <summary>The day at the clinic, by its own zone.</summary>
    public DateOnly Today(FleetState state) => ClinicDay.Of(state, _time.GetUtcNow()).Today;

    /// <summary>Sessions that are planned and have not begun.</summary>
    public Task<IReadOnlyList<PlannedSession>> PlannedSessions(CancellationToken cancellationToken) => _store.PlannedSessions(cancellationToken);

    /// <summary>What reading or weighing needs: kits answer from their newest known states.</summary>
    public async Task<FleetContext> Context(FleetState state, Actor by, bool caresForKits, CancellationToken cancellationToken)
    {
        var now = _time.GetUtcNow();
        var rows = await Rows(cancellationToken);
        var states = await _kits.States(rows, cancellationToken);
        var asked = new KitContext(now, ClinicDay.Of(state, now).Today, [.. states.Values], []);
        return await Context(state, now, rows, states, caresForKits, (kitId, command) => states.TryGetValue(kitId.Value, out var kit) ? KitDecider.Decide(kit, command, by, asked) : null, cancellationToken);
    }

    /// <summary>What a decision needs: the kits it is about are loaded anew and their chains verified.</summary>
    /// <param name="state">The fleet.</param>
    /// <param name="about">Kits the decision may add facts to.</param>
    /// <param name="by">Who asks.</param>
    /// <param name="caresForKits">Whether they look after the kits.</param>
    /// <param name="cancellationToken">Cancels the reading.</param>
    public async Task<(FleetContext Context, IReadOnlyDictionary<KitId, LoadedKit> Loaded)> ContextAbout(FleetState state, IReadOnlyList<KitId> about, Actor by, bool caresForKits, CancellationToken cancellationToken)
    {
        // One moment for the fleet and for the kits: around midnight they would otherwise decide on two days.
        var now = _time.GetUtcNow();
        var (loaded, contexts) = (new Dictionary<KitId, LoadedKit>(), new Dictionary<KitId, KitContext>());
        foreach (var kitId in about.Distinct())
        {
            if (await _kits.Load(kitId, cancellationToken) is { } kit)
            {
                loaded[kitId] = kit;
                contexts[kitId] = await _kits.Context(kitId, cancellationToken) with { Now = now, Today = ClinicDay.Of(state, now).Today };
            }
        }

        var rows = await Rows(cancellationToken);
        var states = await _kits.States(rows, cancellationToken);
        var context = await Context(state, now, rows, states, caresForKits, Ask, cancellationToken);
        return (context, loaded);

        KitDecision? Ask(KitId kitId, KitCommand command) => !loaded.TryGetValue(kitId, out var kit)
            ? null
            : kit.Integrity.Valid
            ? KitDecider.Decide(kit.State, command, by, contexts[kitId])
            : new KitDecision([], KitRefusals.Damaged(kit.Integrity.BrokenAtSequence));
    }

    /// <summary>The picture of the fleet.</summary>
    public async Task<FleetView> Read(CancellationToken cancellationToken) => await View(await Load(cancellationToken), cancellationToken);

    /// <summary>The picture of the fleet for one who opens it: made from a log that was verified whole.</summary>
    public async Task<FleetView> Open(CancellationToken cancellationToken) => await View(await Verify(cancellationToken), cancellationToken);

    private async Task<FleetView> View(LoadedFleet loaded, CancellationToken cancellationToken) =>
        FleetViewBuilder.Build(loaded, await Context(loaded.State, Nobody, caresForKits: false, cancellationToken));

    /// <summary>Stands for who asks where nothing will be recorded.</summary>
    public static Actor Nobody { get; } = new(string.Empty, string.Empty);

    private async Task<FleetContext> Context(
        FleetState state,
        DateTimeOffset now,
        IReadOnlyList<KitEntity> rows,
        IReadOnlyDictionary<string, KitState> states,
        bool caresForKits,
        Func<KitId, KitCommand, KitDecision?> ask,
        CancellationToken cancellationToken) => new(
            now,
            ClinicDay.Of(state, now).Today,
            await _store.PlannedSessions(cancellationToken),
            [.. rows.Where(row => states.ContainsKey(row.KitId)).Select(row => FleetKits.Of(row, states[row.KitId], ClinicDay.Of(state, now).Today))],
            ask,
            caresForKits)
        {
            Zone = ClinicDay.ZoneOf(state),
        };

    private async Task<List<KitEntity>> Rows(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.Kits.AsNoTracking().OrderBy(row => row.KitId).ToListAsync(cancellationToken);
    }
}
