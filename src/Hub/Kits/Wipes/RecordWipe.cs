using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Wipes;

/// <summary>A kit attests that nothing of sessions that are over is left on it.</summary>
internal sealed record RecordWipe(SignedWipe Wipe, Caller Caller, string ConnectionId) : IHubRequest<WipeReply>
{
    public WipeReply Refused(Refusal refusal) => new(refusal, null);

    public string Trace() => "attestation of a kit";
}

/// <summary>Keeps the attestation with the kit and with each session, then deletes the hub's half of every journal that was wiped.</summary>
internal sealed partial class RecordWipeHandler(KitLinks links, KitFacts facts, SessionStore store, SessionRunner runner, JournalKeys keys, CommitFollower follower, Broadcaster broadcaster, ILogger<RecordWipeHandler> log)
    : IRequestHandler<RecordWipe, WipeReply>
{
    /// <summary>More sessions than any kit serves between two looks at it.</summary>
    private const int MostSessions = 1000;

    public async Task<WipeReply> Handle(RecordWipe request, CancellationToken cancellationToken)
    {
        var kitId = ((KitCaller)request.Caller).KitId;
        if (links.BindingOf(kitId, request.ConnectionId) is not { } binding
            || binding.Open<KitWipe>(KitJws.Wipe, request.Wipe?.Signed) is not { Sessions: { Count: <= MostSessions } } wipe
            || wipe.KitId != kitId || wipe.Key != binding.Thumbprint)
        {
            return request.Refused(new Refusal(RefusalCodes.KitNotProven, "The attestation is not signed with this kit's key, or comes on an older link.", "Link anew."));
        }

        if (await store.FindCursor(wipe.JournalId, cancellationToken) < wipe.LastSequence)
        {
            // A kit wipes what was confirmed alone. One that says otherwise may have lost something, and keeps its hold.
            return request.Refused(new Refusal(RefusalCodes.OutOfOrder, "The kit attests more than this hub has confirmed.", "Have a coordinator look at the kit."));
        }

        if (await keys.Of(kitId, wipe.NextJournal, cancellationToken) is not { } key)
        {
            return request.Refused(new Refusal(RefusalCodes.KitUnknown, "The next journal belongs to another kit.", "Enrol the kit anew."));
        }

        var kept = await facts.Alone(() => runner.Run(token => Decide(kitId, wipe, request.Wipe!.Signed, token), _ => Task.FromResult(0), cancellationToken), cancellationToken);
        if (wipe.LaidAside is null)
        {
            await keys.Forget(kitId, wipe.NextJournal, cancellationToken);
        }

        Log.Wiped(log, kitId, kept);
        return new WipeReply(null, key);
    }

    private async Task<Attempt<int>> Decide(KitId kitId, KitWipe wipe, string signed, CancellationToken cancellationToken)
    {
        if (wipe.LaidAside is > 0)
        {
            return await Hold(kitId, wipe, cancellationToken);
        }

        var sessions = new List<SessionAppend>();
        foreach (var sessionId in wipe.Sessions.Distinct())
        {
            // Of its own sessions, those that are over and not attested since the last that happened. The log of an erased one takes nothing more: the kit's own facts say it.
            if (await store.Load(sessionId, cancellationToken) is { Integrity.Valid: true } loaded
                && loaded.Plan.KitId == kitId && !loaded.State.Erased && Stages.IsOver(loaded.State.Stage) && loaded.State.History is not [.., { Event: KitDataWiped }])
            {
                sessions.Add(new SessionAppend(loaded, [new KitDataWiped(kitId, wipe.JournalId, wipe.LastSequence, wipe.Key)]));
            }
        }

        var kit = await facts.Load(kitId, cancellationToken) is { Integrity.Valid: true } found ? found : null;
        var wiped = kit is null ? [] : wipe.Sessions.Intersect(kit.State.Unwiped).Where(sessionId => sessionId != kit.State.InSession).ToList();
        var givenUp = kit is not null && LaidAside.GivenUp(kit.State);
        return sessions.Count == 0 && wiped.Count == 0 && !givenUp
            ? new Attempt<int>(null, 0)
            : new Attempt<int>(
                new AppendBatch(sessions, null, null, after =>
                {
                    follower.Follow(after, []);
                    broadcaster.KitChanged(kitId);
                })
                {
                    KitFacts = wiped.Count == 0 && !givenUp ? [] : [new KitFactAppend(kit!, [new DataWiped(wiped, wipe.JournalId, wipe.LastSequence, wipe.Key, signed)])],
                },
                wiped.Count);
    }

    /// <summary>Something is left on the kit: no word of a wipe is kept, and the kit is held.</summary>
    private async Task<Attempt<int>> Hold(KitId kitId, KitWipe wipe, CancellationToken cancellationToken) =>
        await facts.Load(kitId, cancellationToken) is { Integrity.Valid: true } kit && LaidAside.Of(kit.State, wipe) is { Count: > 0 } held
            ? new Attempt<int>(new AppendBatch([], null, null, _ => broadcaster.KitChanged(kitId)) { KitFacts = [new KitFactAppend(kit, held)] }, 0)
            : new Attempt<int>(null, 0);

    private static partial class Log
    {
        [LoggerMessage(EventId = 2104, Level = LogLevel.Information, Message = "Kit {KitId} attested that nothing of {Count} sessions is left on it")]
        public static partial void Wiped(ILogger logger, KitId kitId, int count);
    }
}
