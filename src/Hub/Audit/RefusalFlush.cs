using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Audit;

/// <summary>Writes counted refusals once their minute is over, and the rest when the hub stops.</summary>
internal sealed partial class RefusalFlush(AuditTrail trail, TimeProvider time, ILogger<RefusalFlush> log) : BackgroundService
{
    private static readonly TimeSpan _every = TimeSpan.FromMinutes(1);

    public override async Task StopAsync(CancellationToken cancellationToken)
    {
        await base.StopAsync(cancellationToken);
        await Flush(everything: true);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(_every, time);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                await Flush(everything: false);
            }
        }
        catch (OperationCanceledException)
        {
            // The hub stops; StopAsync writes the rest.
        }
    }

    private async Task Flush(bool everything)
    {
        try
        {
            await trail.Flush(everything);
        }
        catch (DbUpdateException fault)
        {
            Log.NotWritten(log, fault);
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 1502, Level = LogLevel.Error, Message = "Counted refusals could not be written to the audit")]
        public static partial void NotWritten(ILogger logger, Exception fault);
    }
}
