using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>The sessions that somebody controls or has lent a task of, for a console that shows none of them.</summary>
internal sealed class OwnSessions(KitSessions sessions, SessionStore store, IMediator mediator, ControlLeases leases, SilenceFirst silence, TimeProvider time)
{
    private static readonly TimeSpan _life = TimeSpan.FromSeconds(5);

    /// <summary>Whether this person controls a session that runs.</summary>
    public async Task<bool> AnyRuns(string personId, CancellationToken cancellationToken) => (await Controlled(personId, cancellationToken)).Count > 0;

    /// <summary>A covered console is still there: nothing lapses because it shows no session.</summary>
    public async Task StayIn(PersonCaller caller, CancellationToken cancellationToken)
    {
        foreach (var state in await Controlled(caller.Id, cancellationToken))
        {
            await leases.AskOthers(state.SessionId, cancellationToken);
            leases.StayIn(state.SessionId, caller);
        }
    }

    /// <summary>Silence in all of them, and each on hold.</summary>
    /// <returns>Why one of them could not be silenced; null when all are silent.</returns>
    public async Task<Refusal?> Silence(PersonCaller caller, CancellationToken cancellationToken)
    {
        Refusal? why = null;
        foreach (var id in (await Open(cancellationToken)).Union(leases.Of(caller.Id)))
        {
            var unsilenced = await Silence(id, caller, cancellationToken);
            why ??= unsilenced;
        }

        return why;
    }

    private async Task<Refusal?> Silence(SessionId id, PersonCaller caller, CancellationToken cancellationToken)
    {
        try
        {
            if (await Mine(id, caller.Id, cancellationToken) is not { } state)
            {
                return null;
            }

            // What is lent is taken back first, which cuts it; the hold after it is one's own again.
            if (state.Control.Loan?.By.Id == caller.Id && (await Ask(state, new TakeBackControl(), caller)).Refusal is { Code: not RefusalCodes.ControlNotLent } unsilenced)
            {
                return unsilenced;
            }

            if (await Mine(id, caller.Id, CancellationToken.None) is not { } own)
            {
                return null;
            }

            var receipt = await Ask(own, new Hold(null), caller);

            // What cannot be held in its stage has no sound: it is on hold, stopped or without its kit already.
            return receipt.Refusal is { Code: not RefusalCodes.StageDoesNotAllow } refusal ? refusal : null;
        }
        catch (Exception fault) when (fault is not (OperationCanceledException or OutOfMemoryException))
        {
            // The record cannot say whose it is; what is remembered can.
            return leases.Of(caller.Id).Contains(id) ? silence.Unrecorded(Envelope(id, 0, 0, new Hold(null)), caller, fault, toldBefore: false).Refusal : null;
        }
    }

    /// <summary>Sessions that run; none when the store cannot be asked, which it is again for each that is remembered.</summary>
    private async Task<IReadOnlyList<SessionId>> Open(CancellationToken cancellationToken)
    {
        try
        {
            return await sessions.AllOpen(cancellationToken);
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            return [];
        }
    }

    private async Task<IReadOnlyList<SessionState>> Controlled(string personId, CancellationToken cancellationToken)
    {
        var mine = new List<SessionState>();
        foreach (var id in await sessions.AllOpen(cancellationToken))
        {
            if (await Mine(id, personId, cancellationToken) is { } state)
            {
                mine.Add(state);
            }
        }

        return mine;
    }

    private async Task<SessionState?> Mine(SessionId id, string personId, CancellationToken cancellationToken) =>
        await store.Load(id, cancellationToken) is { State: var state } loaded
        && (state.Holder?.Id == personId || state.Control.Loan?.By.Id == personId || (!loaded.Integrity.Valid && leases.Of(personId).Contains(id))) ? state : null;

    private Task<Receipt> Ask(SessionState state, SessionCommand command, PersonCaller caller) =>
        mediator.Send(new AskCommand(Envelope(state.SessionId, state.Epoch, state.Version, command), caller), CancellationToken.None);

    private CommandEnvelope Envelope(SessionId id, int epoch, long version, SessionCommand command) =>
        new(Protocol.Version, CommandId.New(), id, epoch, version, time.GetUtcNow() + _life, command);
}
