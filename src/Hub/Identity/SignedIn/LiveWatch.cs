using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>Covers consoles that were left, and closes consoles whose sign-in has ended or grown too old, and those of accounts that were closed, changed their roles or their way in: also when another program did that.</summary>
internal sealed partial class LiveWatch(LivePeople live, SignIns signIns, IDbContextFactory<HubContext> contexts, TimeProvider time, ILogger<LiveWatch> log) : BackgroundService
{
    /// <summary>Often enough to close a console within five seconds.</summary>
    private static readonly TimeSpan _every = TimeSpan.FromSeconds(2);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(_every, time);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                await Look(stoppingToken);
            }
        }
        catch (OperationCanceledException)
        {
            // The hub stops, and every connection with it.
        }
    }

    private async Task Look(CancellationToken cancellationToken)
    {
        try
        {
            await signIns.ReadLive(cancellationToken);
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            Log.NotRead(log, fault);
        }

        var now = time.GetUtcNow();
        live.End(console => console.ExpiresAt <= now || signIns.Known(console.SignInId) is null);
        try
        {
            await signIns.LockLeft();
            if (live.All is not { Count: > 0 } here)
            {
                return;
            }

            var standing = await AccountStanding.Read(contexts, [.. here.Select(console => console.PersonId).Distinct()], cancellationToken);

            // Only those that were asked about: whoever came meanwhile was let in by what is stored now, and is looked at next time.
            var asked = here.ToHashSet();
            live.End(console => asked.Contains(console) && (!standing.TryGetValue(console.PersonId, out var account) || !(console.Stays || account.Fits(console.Stamp, console.Roles))));
        }
        catch (Exception fault) when (StoreFaults.Is(fault) || fault is InvalidOperationException)
        {
            // The next look is two seconds away; nothing that was ended comes back meanwhile.
            Log.NotRead(log, fault);
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 1601, Level = LogLevel.Error, Message = "Accounts of connected consoles could not be read")]
        public static partial void NotRead(ILogger logger, Exception fault);
    }
}
