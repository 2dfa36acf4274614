using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Neighbours;

/// <summary>Passes on inside this hub what the others say.</summary>
internal sealed class WireListener(HubWire wire, LogFollower follower, NeighbourWatch watch, Broadcaster broadcaster, KitLinks links, SignIns signIns) : IHostedService
{
    public Task StartAsync(CancellationToken cancellationToken) => wire.Listen(Hear);

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    private void Hear(WireMessage message)
    {
        switch (message)
        {
            case { Word: WireWord.Look }:
                follower.Wake();
                break;
            case { Word: WireWord.Kits }:
                watch.Wake();
                break;
            case { Word: WireWord.Kit, Id: { } kit }:
                broadcaster.KitChangedHere(new KitId(kit));
                break;
            case { Word: WireWord.Fleet }:
                broadcaster.FleetChangedHere();
                break;
            case { Word: WireWord.Signal, Signal: { } signal }:
                broadcaster.PassHere(signal);
                break;
            case { Word: WireWord.Revoke, Id: { } kit, Text: { } reason }:
                links.RevokeHere(new KitId(kit), reason);
                break;
            case { Word: WireWord.SignIn, Id: { } id }:
                signIns.Doubt(id);
                break;
            default:
                // Of a newer hub; the store says it too.
                break;
        }
    }
}
