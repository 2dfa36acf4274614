using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits;

/// <summary>Renews leases: every 200 ms where sound may be on, every second for other kits in an open session. One loop.</summary>
internal sealed class LeaseRenewer : BackgroundService
{
    private const int SlowEvery = 5;

    private readonly KitLinks _links;
    private readonly TimeProvider _time;

    public LeaseRenewer(KitLinks links, TimeProvider time)
    {
        _links = links;
        _time = time;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(Protocol.LeaseRenewalMs), _time);
        try
        {
            for (var tick = 0; await timer.WaitForNextTickAsync(stoppingToken); tick++)
            {
                _links.Renew(slow: tick % SlowEvery == 0);
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is shutting down: leases lapse and kits fall silent, as they should.
        }
    }
}
