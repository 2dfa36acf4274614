namespace TeleHearing.Site.Agent.Link;

/// <summary>When an outage is worth a log line: at once when it begins, then after 2 s, 4 s, 8 s and so on, and once a minute in the end. A night without a hub does not fill the log.</summary>
internal sealed class OutageNotices(TimeProvider time)
{
    private static readonly TimeSpan _first = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan _longest = TimeSpan.FromMinutes(1);

    private long? _saidAt;
    private TimeSpan _quiet = _first;

    /// <summary>Whether this failure is to be told; counts as told when so.</summary>
    public bool IsDue()
    {
        if (_saidAt is { } saidAt)
        {
            if (time.GetElapsedTime(saidAt) < _quiet)
            {
                return false;
            }

            _quiet = TimeSpan.FromTicks(Math.Min(_quiet.Ticks * 2, _longest.Ticks));
        }

        _saidAt = time.GetTimestamp();
        return true;
    }

    /// <summary>The outage is over.</summary>
    public void Reset() => (_saidAt, _quiet) = (null, _first);
}
