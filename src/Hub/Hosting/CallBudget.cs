namespace TeleHearing.Hub.Hosting;

/// <summary>Lets so many calls through a second, and so many at once (a token bucket, as RFC 2697 describes it for bytes). Any thread.</summary>
internal sealed class CallBudget(double perSecond, int atOnce, TimeProvider time)
{
    private readonly Lock _lock = new();
    private double _left = atOnce;
    private long _at = time.GetTimestamp();

    /// <summary>Takes one call.</summary>
    /// <returns>False when there is none left; then nothing is taken.</returns>
    public bool Take()
    {
        lock (_lock)
        {
            FillInsideLock();
            if (_left < 1)
            {
                return false;
            }

            _left--;
            return true;
        }
    }

    /// <summary>Takes one call, and waits until it is due.</summary>
    public Task Wait(CancellationToken cancellationToken)
    {
        lock (_lock)
        {
            FillInsideLock();
            _left--;
            return _left >= 0 ? Task.CompletedTask : Task.Delay(TimeSpan.FromSeconds(-_left / perSecond), time, cancellationToken);
        }
    }

    private void FillInsideLock()
    {
        var now = time.GetTimestamp();
        _left = Math.Min(atOnce, _left + (time.GetElapsedTime(_at, now).TotalSeconds * perSecond));
        _at = now;
    }
}
