namespace TeleHearing.Clinician.Web.State;

/// <summary>An estimate of the hub's time, so that a command can say until when it is meant.</summary>
/// <remarks>Every picture carries the hub's time when it was made. The way here only makes it older, so the largest difference to this page's running time among the last
/// pictures is the nearest. Running time is used because the wall clock of a browser may be set while a session is open.</remarks>
public sealed class HubClock(TimeProvider time)
{
    private const int SamplesKept = 20;
    private readonly Queue<DateTimeOffset> _starts = new();
    private readonly long _origin = time.GetTimestamp();

    /// <summary>Whether a picture has come yet.</summary>
    public bool Known => _starts.Count > 0;

    /// <summary>The hub's time now; this page's own clock until a picture has come.</summary>
    public DateTimeOffset Now => Known ? _starts.Max() + time.GetElapsedTime(_origin) : time.GetUtcNow();

    /// <summary>Takes the hub's time from a picture that has just come; an empty picture carries none.</summary>
    public void Hear(DateTimeOffset hubTime)
    {
        if (hubTime == default)
        {
            return;
        }

        _starts.Enqueue(hubTime - time.GetElapsedTime(_origin));
        if (_starts.Count > SamplesKept)
        {
            _starts.Dequeue();
        }
    }
}
