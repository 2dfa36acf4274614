using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Reads what is known of kits, and what decisions about them need.</summary>
internal sealed class KitFacts : IDisposable
{
    private readonly KitFactStore _store;
    private readonly FleetFactStore _fleet;
    private readonly KitLinks _links;
    private readonly HubSettings _settings;
    private readonly TimeProvider _time;

    // Recording about kits is rare, and a decision reads several kits. Commands and hellos of this process decide one at a time, which spares many at once from losing race after race.
    // It is no lock of the facts: a left/right proof is appended with its session's report and does not wait here, nor does another process. The key of the table decides then, and the loser decides anew.
    private readonly SemaphoreSlim _one = new(1, 1);

    public KitFacts(KitFactStore store, FleetFactStore fleet, KitLinks links, HubSettings settings, TimeProvider time)
    {
        _store = store;
        _fleet = fleet;
        _links = links;
        _settings = settings;
        _time = time;
    }

    /// <summary>What readings of parcels are held against, as the clinic set it for its events.</summary>
    public ParcelLimits Limits => EpcisSettings.LimitsOf(_settings);

    /// <summary>The clinic's day.</summary>
    public async Task<ClinicDay> Day(CancellationToken cancellationToken) => ClinicDay.Of((await _fleet.Load(cancellationToken)).State, _time.GetUtcNow());

    /// <summary>Reads a kit and verifies its chain; null when there is no such kit.</summary>
    public Task<LoadedKit?> Load(KitId kitId, CancellationToken cancellationToken) => _store.Load(kitId, cancellationToken);

    /// <summary>Runs a decision about a kit and its append with no other one that asks for this at the same time.</summary>
    public async Task<T> Alone<T>(Func<Task<T>> work, CancellationToken cancellationToken)
    {
        await _one.WaitAsync(cancellationToken);
        try
        {
            return await work();
        }
        finally
        {
            _one.Release();
        }
    }

    public void Dispose() => _one.Dispose();

    /// <summary>What a decision about a kit needs besides its own facts.</summary>
    public async Task<KitContext> Context(KitId kitId, CancellationToken cancellationToken)
    {
        var day = await Day(cancellationToken);
        return new KitContext(_time.GetUtcNow(), day.Today, [.. (await _store.States(cancellationToken)).Values], await _store.Sessions(kitId, cancellationToken)) { Zone = day.Zone, Limits = Limits };
    }

    /// <summary>What forbids testing a person with a kit now, as sentences. The chain of its facts is verified whenever anybody has written; facts that are not whole hold it.</summary>
    public async Task<IReadOnlyList<string>> HoldsOnTesting(KitId kitId, string personReference, CancellationToken cancellationToken) =>
        await _store.Load(kitId, cancellationToken) is { } loaded ? await HoldsOnTesting(loaded, personReference, cancellationToken) : [];

    /// <summary>What forbids testing a person with a kit that was read, as sentences.</summary>
    public async Task<IReadOnlyList<string>> HoldsOnTesting(LoadedKit loaded, string personReference, CancellationToken cancellationToken) =>
        KitJudgement.HoldsOnTesting(
            loaded.State,
            (await _store.States(cancellationToken)).Values,
            (await Day(cancellationToken)).Today,
            personReference,
            loaded.State.LastUse is null ? [] : await _store.Sessions(loaded.State.KitId, cancellationToken));

    /// <summary>What a kit can play by the calibration it told last; absent while it told none. From memory where nothing was added.</summary>
    public async Task<IReadOnlyList<PlayableLevel>?> Playable(KitId kitId, CancellationToken cancellationToken) =>
        (await _store.State(kitId, cancellationToken))?.Playable;

    /// <summary>States of kits for the board.</summary>
    public Task<IReadOnlyDictionary<string, KitState>> States(IReadOnlyList<KitEntity> kits, CancellationToken cancellationToken) => _store.States(kits, cancellationToken);

    /// <summary>The picture of a kit.</summary>
    /// <returns>Null when there is no such kit.</returns>
    public async Task<KitView?> Read(KitId kitId, CancellationToken cancellationToken) =>
        await _store.Load(kitId, cancellationToken) is { } loaded
            ? KitViewBuilder.Build(loaded, await Context(kitId, cancellationToken), _links.IsOnline(kitId)) with
            {
                Ladder = (await _fleet.Load(cancellationToken)).State.Terms.Ladder,
                IncidentOpen = (await _fleet.Load(cancellationToken)).State.IncidentOpen(kitId),
            }
            : null;
}
