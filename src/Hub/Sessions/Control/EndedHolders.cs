using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.SignedIn;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>Whoever was put out commands nothing any more: their control lapses at once, which silences and holds the session.</summary>
internal sealed class EndedHolders(LivePeople live, ControlLeases leases, HubSettings settings) : IHostedService
{
    public Task StartAsync(CancellationToken cancellationToken)
    {
        live.PutOut += Lapse;
        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken)
    {
        live.PutOut -= Lapse;
        return Task.CompletedTask;
    }

    private void Lapse(string personId) => leases.Forget(personId, settings.ControlLife);
}
