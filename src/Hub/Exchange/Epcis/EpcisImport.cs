using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Takes in documents of events of carriers and partners. All of a document becomes durable in one act, or nothing.</summary>
internal sealed class EpcisImport
{
    private readonly KitFacts _kits;
    private readonly KitFactStore _store;
    private readonly FleetFacts _fleet;
    private readonly SessionRunner _runner;
    private readonly Broadcaster _broadcaster;
    private readonly HubSettings _hub;

    public EpcisImport(KitFacts kits, KitFactStore store, FleetFacts fleet, SessionRunner runner, Broadcaster broadcaster, HubSettings hub)
    {
        _kits = kits;
        _store = store;
        _fleet = fleet;
        _runner = runner;
        _broadcaster = broadcaster;
        _hub = hub;
    }

    /// <summary>Says what a document does, and does it when it is to be kept.</summary>
    /// <param name="document">The document, UTF-8.</param>
    /// <param name="keep">Whether to record it.</param>
    /// <param name="caller">Who hands it in.</param>
    /// <param name="cancellationToken">Cancels before anything is recorded.</param>
    public Task<EpcisReply> Take(ReadOnlyMemory<byte> document, bool keep, PersonCaller caller, CancellationToken cancellationToken)
    {
        var read = EpcisDocumentReader.Read(document);
        return read.Faults.Count > 0
            ? Task.FromResult(new EpcisReply(read.Faults, [], false, null))
            : _kits.Alone(
                () => _runner.Run<EpcisReply>(
                    token => Try(read.Events, keep, new Actor(caller.Id, caller.Name), token),
                    _ => throw new InvalidOperationException("A document of events has no receipt that could be found."),
                    cancellationToken),
                cancellationToken);
    }

    private async Task<Attempt<EpcisReply>> Try(IReadOnlyList<ForeignEvent> events, bool keep, Actor by, CancellationToken cancellationToken)
    {
        var fleet = await _fleet.Verify(cancellationToken);
        if (!fleet.Integrity.Valid)
        {
            return new Attempt<EpcisReply>(null, new EpcisReply([], [], false, new Refusal(RefusalCodes.FleetDamaged, "What is recorded about loans and incidents was changed from outside, so nothing is added to it.", "Keep the data folder as it is and tell the owner.")));
        }

        var settings = EpcisSettings.Read(_hub);
        var (ids, zone, limits) = (settings.Ids, ClinicDay.ZoneOf(fleet.State), settings.Limits);
        var states = await _store.States(cancellationToken);
        var all = states.Keys.Select(id => new KitId(id)).ToList();
        var named = new EpcisKitIds(ids, all);
        var (loaded, kits) = (new Dictionary<KitId, LoadedKit>(), new Dictionary<KitId, EpcisKit>());

        // Those an event names, and those an event was recorded with before: a declaration that it was wrong names its id alone.
        var eventIds = events.Select(happened => happened.Id).ToHashSet();
        var wanted = events.SelectMany(happened => happened.About).Distinct().Select(named.Known).OfType<KitId>()
            .Concat(all.Where(kitId => states[kitId.Value].History.Any(entry => entry.Fact is Kits.Journey.CarrierSaid { EventId: { } id } && eventIds.Contains(id))))
            .Distinct();
        foreach (var kitId in wanted)
        {
            if (await _kits.Load(kitId, cancellationToken) is { } kit)
            {
                loaded[kitId] = kit;
                var own = EpcisHistory.Of(kitId, kit.State.History, ids, zone, limits).Select(happened => happened.Id).ToHashSet();
                kits[kitId] = new EpcisKit(kit.State, await _kits.Context(kitId, cancellationToken), kit.Integrity.Valid, own);
            }
        }

        var taken = EpcisIntake.Take(events, kits, fleet.State, named.Known, by);
        var reply = new EpcisReply([], taken.Lines, keep, null);
        if (!keep || (taken.KitFacts.Count == 0 && taken.FleetFacts.Count == 0))
        {
            return new Attempt<EpcisReply>(null, reply);
        }

        return new Attempt<EpcisReply>(
            new AppendBatch([], null, null, _ => Tell(taken))
            {
                KitFacts = [.. taken.KitFacts.Select(pair => new KitFactAppend(loaded[pair.Key], pair.Value))],
                FleetFacts = taken.FleetFacts.Count == 0 ? null : new FleetFactAppend(fleet, taken.FleetFacts),
            },
            reply);
    }

    private void Tell(EpcisTaken taken)
    {
        foreach (var kitId in taken.KitFacts.Keys)
        {
            _broadcaster.KitChanged(kitId);
        }

        _broadcaster.FleetChanged();
    }
}
