using System.Collections.Concurrent;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Links;

namespace TeleHearing.Hub.Kits;

/// <summary>The one place that talks to kits. The newest connection of a kit is the kit's; a late disconnect of an older one changes nothing. Any thread.</summary>
internal sealed partial class KitLinks
{
    private readonly IHubContext<KitHub, IKitClient> _kits;
    /// <summary>A kit that takes no message is not waited for: its connection is closed at the latest then.</summary>
    private static readonly TimeSpan _revokedLimit = TimeSpan.FromSeconds(2);

    private static readonly TimeSpan _revokedGrace = TimeSpan.FromMilliseconds(300);

    private readonly TimeProvider _time;
    private readonly HubClock _clock;
    private readonly HubKey _hubKey;
    private readonly SharedKits _shared;
    private readonly HubWire _wire;
    private readonly HubSettings _settings;
    private readonly ILogger<KitLinks> _log;
    private readonly ConcurrentDictionary<KitId, KitLink> _links = new();

    public KitLinks(IHubContext<KitHub, IKitClient> kits, HubClock clock, HubKey hubKey, SharedKits shared, HubWire wire, HubSettings settings, TimeProvider time, ILogger<KitLinks> log)
    {
        (_shared, _wire, _settings) = (shared, wire, settings);
        _kits = kits;
        _clock = clock;
        _hubKey = hubKey;
        _time = time;
        _log = log;
    }

    /// <summary>Whether a kit is linked and was heard lately, or is linked to another hub on the same database: a dead line is noticed here before its connection ends.</summary>
    public bool IsOnline(KitId kitId) => (_links.TryGetValue(kitId, out var link) && !link.IsSilent) || _shared.IsElsewhere(kitId);

    /// <summary>The same for a decision: what would be "no" is asked of the store first, since a kit may have come to another hub in this moment.</summary>
    public async Task<bool> Reaches(KitId kitId, CancellationToken cancellationToken)
    {
        if (!IsOnline(kitId) && _settings.IsShared)
        {
            await _shared.Look(cancellationToken);
        }

        return IsOnline(kitId);
    }

    /// <summary>Kits linked here.</summary>
    public int Count => _links.Count;

    /// <summary>Kits linked here on which sound may be on.</summary>
    public int Sounding => _links.Values.Count(link => link.Duty.SoundMayBeOn);

    /// <summary>What the kit's newest connection is bound to; null for any other connection.</summary>
    public KitBinding? BindingOf(KitId kitId, string connectionId) => _links.TryGetValue(kitId, out var link) && link.ConnectionId == connectionId ? link.Binding : null;

    /// <summary>The session a kit is in, as far as it is connected.</summary>
    public SessionId? SessionOf(KitId kitId) => _links.TryGetValue(kitId, out var link) ? link.Duty.SessionId : null;

    /// <summary>What a connected kit is owed; null when it is not connected.</summary>
    public KitDuty? DutyOf(KitId kitId) => _links.TryGetValue(kitId, out var link) ? link.Duty : null;

    /// <summary>Takes a connection as the kit's; the older one is closed.</summary>
    public void Connect(KitId kitId, string connectionId, KitBinding binding, Action abort, LinkHeard? heard = null)
    {
        var link = new KitLink(kitId, connectionId, binding, _kits.Clients.Client(connectionId), abort, fault => Log.SendFailed(_log, fault, kitId), _time, heard);
        KitLink? older = null;
        _links.AddOrUpdate(kitId, link, (_, found) =>
        {
            older = found;
            return link;
        });
        if (older is not null && older.ConnectionId != connectionId)
        {
            older.Close();
        }
    }

    /// <summary>Starts telling the kit things; before that its greeting is answered.</summary>
    public void Open(KitId kitId, string connectionId)
    {
        if (_links.TryGetValue(kitId, out var link) && link.ConnectionId == connectionId)
        {
            link.Open();
        }
    }

    /// <returns>Whether the kit is now out of reach.</returns>
    public bool Disconnect(KitId kitId, string connectionId)
    {
        if (!_links.TryGetValue(kitId, out var link) || link.ConnectionId != connectionId || !_links.TryRemove(new KeyValuePair<KitId, KitLink>(kitId, link)))
        {
            return false;
        }

        link.Close();
        return true;
    }

    /// <summary>Tells the kit what an append means for it. Called in the order of commits; never waits.</summary>
    public void Follow(SessionState state, IReadOnlyList<KitEffect> effects)
    {
        if (!_links.TryGetValue(state.KitId, out var link))
        {
            CutElsewhere(state.KitId, effects);
            return;
        }

        if (_settings.IsShared)
        {
            // In the order of the log, whoever committed: another hub may have been a step ahead.
            link.Tell(state, effects, _clock, effect => Sending(link, effect));
        }
        else
        {
            foreach (var effect in effects)
            {
                link.Post(Sending(link, effect));
            }
        }

        TakeDuty(link, KitDuty.Of(state));
    }

    /// <summary>Tells a kit to be silent at once, beside everything that waits to be sent: before it is written down, for silence does no harm, and again with what follows the commit.</summary>
    /// <returns>Whether there is something to end, and a way to the kit.</returns>
    public bool Silence(KitId kitId, IReadOnlyList<KitEffect> effects)
    {
        if (!_links.TryGetValue(kitId, out var link))
        {
            return CutElsewhere(kitId, effects);
        }

        var ends = effects.OfType<EndStep>().ToList();
        ends.ForEach(end => link.Now(client => client.Cut(end.StepId)));
        return ends.Count > 0;
    }

    /// <summary>Ends what sounds in a session without its record: the step the kit has is cut, and gets no lease any more.</summary>
    /// <returns>Whether a kit that is linked here was told.</returns>
    public bool Hush(SessionId sessionId)
    {
        var there = _links.Values.Where(link => link.Duty.SessionId == sessionId).ToList();
        there.ForEach(link => link.Hush(_clock));
        return there.Count > 0;
    }

    /// <summary>Whether a kit is linked here that has not been told of a session up to an event.</summary>
    public bool IsBehind(KitId kitId, SessionId sessionId, long version) => _links.TryGetValue(kitId, out var link) && link.IsBehind(sessionId, version);

    /// <summary>Tells the kit what other hubs have committed.</summary>
    public void CatchUp(SessionState state)
    {
        // A session that is planned, or over before this kit was in it, is nothing to a kit.
        if (_links.TryGetValue(state.KitId, out var link) && (Stages.IsOpen(state.Stage) || link.Duty.SessionId == state.SessionId))
        {
            Follow(state, []);
        }
    }

    /// <summary>Silence goes straight to a kit that is linked to another hub; that hub then follows the log like for anything else.</summary>
    /// <returns>Whether there is something to end, and a way to a kit there.</returns>
    public bool CutElsewhere(KitId kitId, IReadOnlyList<KitEffect> effects)
    {
        if (_settings.Redis is null || effects.OfType<EndStep>().FirstOrDefault() is not { } end || _shared.ConnectionElsewhere(kitId) is not { } connection)
        {
            return false;
        }

        _ = Observe();
        return true;

        async Task Observe()
        {
            try
            {
                await _kits.Clients.Client(connection!).Cut(end!.StepId);
            }
            catch (Exception fault) when (fault is not OutOfMemoryException)
            {
                Log.SendFailed(_log, fault, kitId);
            }
        }
    }

    /// <summary>Closes every link: the kits come anew.</summary>
    public void CloseAll()
    {
        foreach (var link in _links.Values)
        {
            link.Close();
        }
    }

    /// <summary>Closes links that the store does not count as this hub's any more: their kits have come elsewhere.</summary>
    /// <param name="here">Connections by kit, as the store counts them.</param>
    /// <returns>What the store counts as this hub's although it ended.</returns>
    public IReadOnlyList<(KitId KitId, string ConnectionId)> CloseAllBut(IReadOnlyDictionary<string, string> here)
    {
        foreach (var link in _links.Values.Where(link => link.IsGreeted && here.GetValueOrDefault(link.KitId.Value) != link.ConnectionId))
        {
            link.Close();
        }

        return [.. here.Where(pair => !_links.TryGetValue(new KitId(pair.Key), out var link) || link.ConnectionId != pair.Value).Select(pair => (new KitId(pair.Key), pair.Value))];
    }

    /// <summary>Sets what a greeted kit is owed, without telling it: the greeting's answer does.</summary>
    public void Owe(KitId kitId, KitDuty duty)
    {
        if (_links.TryGetValue(kitId, out var link))
        {
            link.Greeted(duty);
        }
    }

    /// <summary>Asks a kit that is in no open session to wipe what it holds, and, where they were given up, journals it laid aside.</summary>
    /// <param name="kitId">The kit.</param>
    /// <param name="sessions">Sessions that are over, of which it is to attest that nothing is left; none when what it holds belongs to none.</param>
    /// <param name="giveUp">Whether journals that were laid aside are wiped too.</param>
    public void AskToWipe(KitId kitId, IReadOnlyList<SessionId> sessions, bool giveUp)
    {
        if (_links.TryGetValue(kitId, out var link))
        {
            link.Post(client => client.Wipe(new WipeOrder(sessions, giveUp ? true : null)));
        }
    }

    /// <summary>Renews leases that are due.</summary>
    /// <param name="slow">Also tells the hub's time to kits that are in an open session and silent, and says what the greeting may have crossed with.</param>
    public void Renew(bool slow)
    {
        foreach (var link in _links.Values)
        {
            var duty = link.Duty;
            if (duty.SoundMayBeOn || (slow && duty.Open))
            {
                link.Renew(_clock);
            }

            if (slow && !link.SceneSettled)
            {
                link.SceneSettled = true;
                link.Post(client => client.ShowScene(link.Duty.Scene));
            }
        }
    }

    /// <summary>Kits that fell silent, or were heard again, since this was last asked. For one caller.</summary>
    public IReadOnlyList<KitId> Turned() => [.. _links.Values.Where(link => link.HasTurned()).Select(link => link.KitId)];

    /// <summary>Tells a kit that its key no longer counts, and closes its connection, to whichever hub.</summary>
    public void Revoke(KitId kitId, string reason)
    {
        _wire.Tell(WireWord.Revoke, kitId.Value, reason);
        RevokeHere(kitId, reason);
    }

    /// <summary>The same for a kit that is linked here.</summary>
    public void RevokeHere(KitId kitId, string reason)
    {
        if (_links.TryGetValue(kitId, out var link))
        {
            link.Withdraw();
            _ = CloseAtTheLatest(link);
            link.Post(async client =>
            {
                await client.Revoked(reason);

                // Closing cuts what is not yet on the wire: the kit gets a moment to hear it and go by itself.
                await Task.Delay(_revokedGrace, _time);
                link.Close();
            });
        }
    }

    private async Task CloseAtTheLatest(KitLink link)
    {
        await Task.Delay(_revokedLimit, _time);
        link.Close();
    }

    private Func<IKitClient, Task> Sending(KitLink link, KitEffect effect) => effect switch
    {
        // Signed when it is sent, for this kit, its key and this link alone. A cut is obeyed from anybody: silence is always allowed.
        CarryStep carry => client => client.Carry(new SignedOrder(_hubKey.Sign(KitJws.Order, new KitOrder(link.KitId, link.Binding.Thumbprint, link.Binding.Link, carry.Order)))),
        EndStep end => client => client.Cut(end.StepId),
        _ => throw new ArgumentOutOfRangeException(nameof(effect), effect.GetType().Name, "An effect without a message."),
    };

    private void TakeDuty(KitLink link, KitDuty duty)
    {
        if (link.Take(duty) is not { } before)
        {
            return;
        }

        if (duty.SoundMayBeOn && !before.SoundMayBeOn)
        {
            // The first lease of a step does not wait for the next tick.
            link.Renew(_clock);
        }

        if (before.Open && !duty.Open && duty.SessionId is { } over)
        {
            link.Post(client => client.Wipe(new WipeOrder([over])));
        }

        // Stop pressed in a session that is stopped already changes nothing to be seen, and the kit keeps silent until it hears that the hub has it.
        if (duty.Scene != before.Scene || (duty.Scene.Stopped && duty.Version != before.Version))
        {
            link.Post(client => client.ShowScene(duty.Scene));
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2001, Level = LogLevel.Warning, Message = "A message to kit {KitId} could not be sent")]
        public static partial void SendFailed(ILogger logger, Exception fault, KitId kitId);
    }
}
