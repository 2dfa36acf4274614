using System.Collections.Concurrent;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>Who commands which session and who lent it to them, and when their consoles were last heard. Kept in memory alone: after a start of the hub everyone has a whole life of control again. Any thread.</summary>
internal sealed class ControlLeases(ControlHeard others, TimeProvider time)
{
    private readonly ConcurrentDictionary<SessionId, Lease> _leases = new();

    /// <summary>Takes over what a session's events come to. An older state than the one known changes nothing.</summary>
    public void Follow(SessionState state)
    {
        _leases.AddOrUpdate(state.SessionId, _ => After(state, null), (_, known) => known.Version >= state.Version ? known : After(state, known));
        if (Stages.IsOver(state.Stage))
        {
            _leases.TryRemove(state.SessionId, out _);
        }
    }

    /// <summary>The console at which the person commands the session was heard. Nothing happens unless they command it or have lent a task of it, and were not put out under this epoch.</summary>
    public void Renew(SessionId sessionId, PersonCaller person)
    {
        Change(sessionId, lease => lease.Each(heard => heard.PersonId == person.Id && !heard.PutOut ? heard with { At = time.GetTimestamp(), SignInId = person.SignInId } : heard));
        Tell(sessionId, person);
    }

    /// <summary>A covered console was heard, which shows no session. It stays in command of what was commanded there last: another console of the same person keeps nothing alive whose own has died.</summary>
    public void StayIn(SessionId sessionId, PersonCaller person)
    {
        Change(sessionId, lease => lease.Each(heard => heard.PersonId == person.Id && !heard.PutOut && heard.SignInId is { } signIn && signIn == person.SignInId ? heard with { At = time.GetTimestamp() } : heard));
        Tell(sessionId, person);
    }

    /// <summary>Whether events up to this one have not been followed.</summary>
    public bool IsBehind(SessionId sessionId, long version) => !_leases.TryGetValue(sessionId, out var lease) || lease.Version < version;

    /// <summary>Takes over what other hubs have heard of those who command, unless it is older than what was heard here.</summary>
    public async Task AskOthers(SessionId sessionId, CancellationToken cancellationToken)
    {
        foreach (var personId in _leases.TryGetValue(sessionId, out var known) ? known.People : [])
        {
            if (await others.Last(sessionId, personId, cancellationToken) is var (ago, signIn))
            {
                var at = time.GetTimestamp() - (long)(Math.Max(0, ago.TotalSeconds) * time.TimestampFrequency);
                Change(sessionId, lease => lease.Each(heard => heard.PersonId == personId && !heard.PutOut && at > heard.At ? heard with { At = at, SignInId = signIn } : heard));
            }
        }
    }

    /// <summary>Sessions of which a task is lent to a person.</summary>
    public IReadOnlyList<SessionId> LentTo(string personId) => [.. _leases.Where(pair => pair.Value.Holder?.PersonId == personId && pair.Value.Until is not null).Select(pair => pair.Key)];

    /// <summary>Sessions that a person commands, or of which they lent a task, as far as this hub remembers.</summary>
    public IReadOnlyList<SessionId> Of(string personId) => [.. _leases.Where(pair => pair.Value.People.Contains(personId)).Select(pair => pair.Key)];

    /// <summary>Whether this hub remembers that somebody commands a session.</summary>
    public bool IsCommanded(SessionId sessionId) => _leases.TryGetValue(sessionId, out var lease) && lease.Holder is not null;

    /// <summary>The person's consoles were closed: what they command or have lent lapses with the next look, not only after the life of control, and nothing on its way keeps it under this epoch.</summary>
    /// <param name="personId">Who.</param>
    /// <param name="life">Life of control.</param>
    public void Forget(string personId, TimeSpan life)
    {
        var longAgo = time.GetTimestamp() - (long)((life.TotalSeconds + 1) * time.TimestampFrequency);
        foreach (var sessionId in _leases.Keys)
        {
            Change(sessionId, lease => lease.Each(heard => heard.PersonId == personId ? heard with { At = longAgo, PutOut = true } : heard));
        }
    }

    /// <summary>How long the holder of an epoch, and who lent it to them, have not been heard; no time when somebody else has come.</summary>
    public Unheard SilentFor(SessionId sessionId, int epoch) =>
        _leases.TryGetValue(sessionId, out var lease) && lease.Epoch == epoch ? Of(lease) : Unheard.Nobody;

    /// <summary>Sessions whose holder or lender is silent for longer than this, or whose loan is over.</summary>
    public IReadOnlyList<(SessionId SessionId, int Epoch)> Due(TimeSpan life)
    {
        var now = time.GetUtcNow();
        return
        [
            .. _leases
                .Where(pair => pair.Value.Holder is not null && (Of(pair.Value) is var unheard && (unheard.Holder > life || unheard.Lender > life) || pair.Value.Until <= now))
                .Select(pair => (pair.Key, pair.Value.Epoch)),
        ];
    }

    /// <summary>What was heard here counts at the other hubs too, unless the person was put out.</summary>
    private void Tell(SessionId sessionId, PersonCaller person)
    {
        if (_leases.TryGetValue(sessionId, out var lease) && new[] { lease.Holder, lease.Lender }.Any(heard => heard?.PersonId == person.Id && !heard.PutOut && heard.SignInId == person.SignInId))
        {
            others.Note(sessionId, person);
        }
    }

    private Unheard Of(Lease lease) => new(For(lease.Holder), For(lease.Lender));

    private TimeSpan For(Heard? heard) => heard is null ? TimeSpan.Zero : time.GetElapsedTime(heard.At);

    private Lease After(SessionState state, Lease? known)
    {
        var open = Stages.IsOpen(state.Stage);
        var loan = open ? state.Control.Loan : null;
        return new Lease(state.Version, state.Epoch, Of(open ? state.Holder?.Id : null), Of(loan?.By.Id), loan?.Until);

        Heard? Of(string? personId) => personId is null ? null : Before(personId) ?? new Heard(personId, time.GetTimestamp()) { SignInId = Known(personId)?.SignInId };

        // Whoever changed control themselves is there. Control that falls back to somebody finds them as they were.
        Heard? Before(string personId) => known is null ? null
            : known.Epoch == state.Epoch ? Known(personId)
            : state.Control is { Loan: null, Change: ControlReturned { End: not ControlLoanEnd.TakenBack } } && known.Lender?.PersonId == personId ? known.Lender
            : null;

        Heard? Known(string personId) => new[] { known?.Holder, known?.Lender }.FirstOrDefault(heard => heard?.PersonId == personId);
    }

    private void Change(SessionId sessionId, Func<Lease, Lease> change)
    {
        while (_leases.TryGetValue(sessionId, out var lease) && !_leases.TryUpdate(sessionId, change(lease), lease))
        {
            // Somebody else was faster: what they made of it is changed.
        }
    }

    /// <summary>Somebody's console.</summary>
    /// <param name="PersonId">Whose.</param>
    /// <param name="At">When it was last heard, by the running clock.</param>
    private sealed record Heard(string PersonId, long At)
    {
        /// <summary>The sign-in at which they were last heard; absent until they were.</summary>
        public string? SignInId { get; init; }

        /// <summary>Whether their consoles were closed by the hub under this epoch.</summary>
        public bool PutOut { get; init; }
    }

    private sealed record Lease(long Version, int Epoch, Heard? Holder, Heard? Lender, DateTimeOffset? Until)
    {
        public IEnumerable<string> People => new[] { Holder, Lender }.OfType<Heard>().Select(heard => heard.PersonId);

        public Lease Each(Func<Heard, Heard> change) => this with { Holder = Holder is { } holder ? change(holder) : null, Lender = Lender is { } lender ? change(lender) : null };
    }
}
