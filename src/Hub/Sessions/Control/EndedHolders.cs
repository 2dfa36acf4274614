using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>Whoever was put out commands nothing any more: their control lapses at once, which silences and holds the session. A console at another hub keeps it.</summary>
internal sealed partial class EndedHolders(LivePeople live, ControlLeases leases, SharedConsoles consoles, ControlHeard heard, HubSettings settings, ILogger<EndedHolders> log) : IHostedService
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

    private void Lapse(string personId)
    {
        if (settings.IsShared)
        {
            _ = LapseUnlessElsewhere(personId);
        }
        else
        {
            leases.Forget(personId, settings.ControlLife);
        }
    }

    private async Task LapseUnlessElsewhere(string personId)
    {
        try
        {
            if (!await consoles.AnyElsewhere(personId))
            {
                await heard.Gone(personId);
                leases.Forget(personId, settings.ControlLife);
            }
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            // Nobody is there: it then lapses after the life of control, like that of any silent console.
            Log.NotAsked(log, fault);
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 3102, Level = LogLevel.Error, Message = "Whether somebody who was put out is at another hub could not be asked")]
        public static partial void NotAsked(ILogger logger, Exception fault);
    }
}
