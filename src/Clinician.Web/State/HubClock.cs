namespace TeleHearing.Clinician.Web.State;

/// <summary>An estimate of the hub's time, so that a command can say until when it is meant.</summary>
/// <remarks>Every picture carries the hub's time when it was made. The way here, and waiting while the page is busy, only make it older, so the largest difference to this
/// page's running time is the nearest. It is sought over ten minutes: a burst of pictures can wait for seconds, and two clocks drift apart by far less than that.
/// Running time is used because the wall clock of a browser may be set while a session is open.</remarks>
public sealed class HubClock(TimeProvider time)
{
    private static readonly TimeSpan _window = TimeSpan.FromMinutes(10);

    // The starts of the hub's time on this page's running time, newest last; one that a later and larger start has overtaken is dropped, so the first is the largest.
    private readonly List<(TimeSpan HeardAt, DateTimeOffset Start)> _starts = [];
    private readonly long _origin = time.GetTimestamp();

    /// <summary>Whether a picture has come yet.</summary>
    public bool Known => _starts.Count > 0;

    /// <summary>The hub's time now; this page's own clock until a picture has come.</summary>
    public DateTimeOffset Now => Known ? _starts[0].Start + time.GetElapsedTime(_origin) : time.GetUtcNow();

    /// <summary>Takes the hub's time from a picture that has just come; an empty picture carries none.</summary>
    public void Hear(DateTimeOffset hubTime)
    {
        if (hubTime == default)
        {
            return;
        }

        var heardAt = time.GetElapsedTime(_origin);
        var start = hubTime - heardAt;
        _starts.RemoveAll(kept => kept.Start <= start || heardAt - kept.HeardAt > _window);
        _starts.Add((heardAt, start));
    }
}
