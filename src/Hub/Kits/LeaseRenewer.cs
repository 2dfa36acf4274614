using TeleHearing.Contracts;
using TeleHearing.Hub.Observing;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits;

/// <summary>Renews leases: every 200 ms where sound may be on; other kits in an open session get the time every second, in a lease without length. One loop.</summary>
internal sealed partial class LeaseRenewer : BackgroundService
{
    private const int SlowEvery = 5;

    private readonly KitLinks _links;
    /// <summary>A tick that comes later than this is worth a line in the log: a lease would soon lapse because of this machine, not because of the network.</summary>
    private static readonly TimeSpan _late = TimeSpan.FromMilliseconds(Protocol.LeaseLengthMs / 2);

    private readonly Broadcaster _broadcaster;
    private readonly TimeProvider _time;
    private readonly ILogger<LeaseRenewer> _log;
    private readonly HubTelemetry? _telemetry;

    public LeaseRenewer(KitLinks links, Broadcaster broadcaster, TimeProvider time, ILogger<LeaseRenewer> log, HubTelemetry? telemetry = null)
    {
        _telemetry = telemetry;
        _links = links;
        _broadcaster = broadcaster;
        _time = time;
        _log = log;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(Protocol.LeaseRenewalMs), _time);
        try
        {
            var last = _time.GetTimestamp();
            for (var tick = 0; await timer.WaitForNextTickAsync(stoppingToken); tick++)
            {
                _links.Renew(slow: tick % SlowEvery == 0);
                foreach (var kitId in _links.Turned())
                {
                    _broadcaster.KitChanged(kitId);
                }

                var gap = _time.GetElapsedTime(last);
                last = _time.GetTimestamp();
                _telemetry?.Renewed(gap);
                if (gap > _late)
                {
                    Log.Late(_log, (long)gap.TotalMilliseconds);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is shutting down: leases lapse and kits fall silent, as they should.
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2201, Level = LogLevel.Warning, Message = "Leases were renewed {Milliseconds} ms after the last ones: this machine is too busy, and sound may fall silent")]
        public static partial void Late(ILogger logger, long milliseconds);
    }
}
