using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Links;

namespace TeleHearing.Hub.Kits;

/// <summary>One connection of a kit. What it is told goes through one queue, in the order of commits; leases go beside it.</summary>
internal sealed class KitLink
{
    private readonly KitQueue _queue;
    private readonly Lock _dutyLock = new();
    private readonly Action _abort;
    private readonly Action<Exception> _fault;
    private readonly TimeProvider _time;
    private readonly LinkHeard? _heard;
    private bool _saidSilent;
    private bool _seenSilent;
    private bool _withdrawn;
    private StepId? _hushed;
    private (SessionId Session, long Version)? _told;
    private Task _lastLease = Task.CompletedTask;

    public KitLink(KitId kitId, string connectionId, KitBinding binding, IKitClient client, Action abort, Action<Exception> fault, TimeProvider time, LinkHeard? heard = null)
    {
        (_fault, _time, _queue) = (fault, time, new KitQueue(Send));
        KitId = kitId;
        ConnectionId = connectionId;
        Binding = binding;
        Client = client;
        _abort = abort;
        _heard = heard;
    }

    public KitId KitId { get; }

    public string ConnectionId { get; }

    /// <summary>The key and the name it was greeted with.</summary>
    public KitBinding Binding { get; }

    public IKitClient Client { get; }

    /// <summary>Whether nothing came for longer than a lease lasts: a kit gives a sign of life several times in that time.</summary>
    public bool IsSilent
    {
        get
        {
            var silent = _heard?.SilentFor.TotalMilliseconds > Protocol.LeaseLengthMs;
            if (silent)
            {
                Volatile.Write(ref _seenSilent, true);
            }

            return silent;
        }
    }

    /// <summary>What it is owed; replaced whole.</summary>
    public KitDuty Duty { get; private set; } = KitDuty.None;

    /// <summary>The scene is said once more after the greeting, which may cross with a newer one.</summary>
    public bool SceneSettled { get; set; }

    /// <summary>Takes a new duty unless it is older than the one known, or of a session that is over while another one is open.</summary>
    /// <returns>The duty before; null when the new one is not taken.</returns>
    public KitDuty? Take(KitDuty duty)
    {
        lock (_dutyLock)
        {
            var before = Duty;
            var takes = before.SessionId == duty.SessionId ? duty.Version >= before.Version : duty.Open || !before.Open;
            if (!takes)
            {
                return null;
            }

            Duty = duty;
            return before;
        }
    }

    /// <summary>Whether its greeting has been answered.</summary>
    public bool IsGreeted { get; private set; }

    /// <summary>The greeting's answer tells where the session stands; from there on the log is followed.</summary>
    public void Greeted(KitDuty duty)
    {
        Take(duty);
        lock (_dutyLock)
        {
            _told = (duty.SessionId ?? default, duty.SessionId is null ? 0 : duty.Version);
            IsGreeted = true;
        }
    }

    /// <summary>Whether it has not been told of a session up to an event. While it is greeted it is not: the greeting tells.</summary>
    public bool IsBehind(SessionId sessionId, long version)
    {
        lock (_dutyLock)
        {
            return _told is { } told && (told.Session != sessionId || told.Version < version);
        }
    }

    /// <summary>Queues what a session's newest events mean for the kit, each of them once and in the order of the log.</summary>
    /// <param name="state">The session.</param>
    /// <param name="own">What its last append means, while the kit is still being greeted.</param>
    /// <param name="clock">Tells orders in this hub's time.</param>
    /// <param name="sending">Makes a message.</param>
    public void Tell(SessionState state, IReadOnlyList<KitEffect> own, HubClock clock, Func<KitEffect, Func<IKitClient, Task>> sending)
    {
        lock (_dutyLock)
        {
            var effects = own;
            if (_told is { } told && (told.Session == state.SessionId || Stages.IsOpen(state.Stage)))
            {
                if (told.Session == state.SessionId && told.Version >= state.Version)
                {
                    return;
                }

                effects = LogEffects.Since(state, told.Session == state.SessionId ? told.Version : 0, clock);
                _told = (state.SessionId, state.Version);
            }

            foreach (var effect in effects)
            {
                Post(sending(effect));
            }
        }
    }

    /// <summary>Queues a message; never waits.</summary>
    public void Post(Func<IKitClient, Task> send) => _queue.Put(send);

    /// <summary>Sends beside the queue; never waits.</summary>
    public void Now(Func<IKitClient, Task> send) => _ = Send(send);

    /// <summary>Sends a lease that fits the duty, unless the last one is still stuck on its way: a line of late leases helps nobody.</summary>
    public void Renew(HubClock clock)
    {
        // One at a time and against the duty of that moment, so that a lease without length is never numbered after the first one of a new step.
        lock (_dutyLock)
        {
            if (!_withdrawn && _lastLease.IsCompleted)
            {
                var grant = AsLongAsHeard(clock.NextLease(Duty.SoundMayBeOn && Duty.Step != _hushed));
                _lastLease = Send(client => client.RenewLease(grant));
            }
        }
    }

    /// <summary>Ends what sounds there, whatever the record says or will say: the step in hand is cut beside the queue, and whatever becomes of that message, it gets no lease any more. The next step is another one.</summary>
    public void Hush(HubClock clock)
    {
        lock (_dutyLock)
        {
            _hushed = Duty.Step;
            if (_hushed is { } step)
            {
                Now(client => client.Cut(step));
            }

            // Without length: what still sounds ends as soon as it is heard.
            Renew(clock);
        }
    }

    /// <summary>Whether it fell silent, or was heard again, since this was last asked. For one caller.</summary>
    public bool HasTurned()
    {
        // Whoever saw it silent between two askings shows it so, and has to be told that it is heard.
        var before = Interlocked.Exchange(ref _seenSilent, false) || _saidSilent;
        var now = IsSilent;
        var turned = now ? !_saidSilent : before;
        _saidSilent = now;
        return turned;
    }

    /// <summary>No lease goes out from now on: what sounds there falls silent within a lease's length, whatever else happens to the link.</summary>
    public void Withdraw()
    {
        lock (_dutyLock)
        {
            _withdrawn = true;
        }
    }

    /// <summary>Begins to send what is queued.</summary>
    public void Open() => _queue.Open();

    /// <summary>Ends the link. What is still queued is not sent: orders of a dead link are settled at the next greeting.</summary>
    public void Close()
    {
        Withdraw();
        _queue.Close();
        Binding.Dispose();
        _abort();
    }

    /// <summary>A lease ends one length after the kit was last heard, not after it was granted: a kit that hears but is not heard falls silent as soon as one that does not hear.</summary>
    private LeaseGrant AsLongAsHeard(LeaseGrant grant)
    {
        var notHeard = _heard?.SilentFor ?? TimeSpan.Zero;
        return grant with { LengthMs = (int)Math.Max(0, grant.LengthMs - notHeard.TotalMilliseconds) };
    }

    /// <summary>Sends a message, whether from the queue or beside it; throws nothing but that there is no memory. What cannot be made or sent, or is not taken in time, ends the link: the kit would stand elsewhere than the hub believes, and what waits for it takes the hub's memory. It comes anew and is told everything.</summary>
    /// <returns>Whether it was sent.</returns>
    private async Task<bool> Send(Func<IKitClient, Task> send)
    {
        var sent = false;
        try
        {
            await send(Client).WaitAsync(Watcher.LongestSend, _time);
            sent = true;
        }
        catch (Exception thrown) when (thrown is not OutOfMemoryException)
        {
            _fault(thrown);
        }
        finally
        {
            if (!sent)
            {
                Close();
            }
        }

        return sent;
    }
}
