using System.Collections.Concurrent;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Keys;
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
    private readonly ILogger<KitLinks> _log;
    private readonly ConcurrentDictionary<KitId, KitLink> _links = new();

    public KitLinks(IHubContext<KitHub, IKitClient> kits, HubClock clock, HubKey hubKey, TimeProvider time, ILogger<KitLinks> log)
    {
        _kits = kits;
        _clock = clock;
        _hubKey = hubKey;
        _time = time;
        _log = log;
    }

    /// <summary>Whether the kit is connected and was heard lately: a dead line is noticed here before its connection ends.</summary>
    public bool IsOnline(KitId kitId) => _links.TryGetValue(kitId, out var link) && !link.IsSilent;

    /// <summary>What the kit's newest connection is bound to; null for any other connection.</summary>
    public KitBinding? BindingOf(KitId kitId, string connectionId) => _links.TryGetValue(kitId, out var link) && link.ConnectionId == connectionId ? link.Binding : null;

    /// <summary>The session a kit is in, as far as it is connected.</summary>
    public SessionId? SessionOf(KitId kitId) => _links.TryGetValue(kitId, out var link) ? link.Duty.SessionId : null;

    /// <summary>What a connected kit is owed; null when it is not connected.</summary>
    public KitDuty? DutyOf(KitId kitId) => _links.TryGetValue(kitId, out var link) ? link.Duty : null;

    /// <summary>Takes a connection as the kit's; the older one is closed.</summary>
    public void Connect(KitId kitId, string connectionId, KitBinding binding, Action abort, LinkHeard? heard = null)
    {
        var link = new KitLink(kitId, connectionId, binding, _kits.Clients.Client(connectionId), abort, heard);
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
            _ = Task.Run(() => link.Pump(fault => Log.SendFailed(_log, fault, kitId)));
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
            return;
        }

        foreach (var effect in effects)
        {
            link.Post(Sending(link, effect));
        }

        TakeDuty(link, KitDuty.Of(state));
    }

    /// <summary>Sets what a greeted kit is owed, without telling it: the greeting's answer does.</summary>
    public void Owe(KitId kitId, KitDuty duty)
    {
        if (_links.TryGetValue(kitId, out var link))
        {
            link.Take(duty);
        }
    }

    /// <summary>Asks a kit to wipe what it holds of sessions that are over.</summary>
    public void AskToWipe(KitId kitId, IReadOnlyList<SessionId> sessions)
    {
        if (sessions.Count > 0 && _links.TryGetValue(kitId, out var link))
        {
            link.Post(client => client.Wipe(new WipeOrder(sessions)));
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
                link.Renew(_clock, fault => Log.SendFailed(_log, fault, link.KitId));
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

    /// <summary>Tells a kit that its key no longer counts, and closes its connection.</summary>
    public void Revoke(KitId kitId, string reason)
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
            link.Renew(_clock, fault => Log.SendFailed(_log, fault, link.KitId));
        }

        if (before.Open && !duty.Open && duty.SessionId is { } over)
        {
            link.Post(client => client.Wipe(new WipeOrder([over])));
        }

        if (duty.Scene != before.Scene)
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
