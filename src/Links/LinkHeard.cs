namespace TeleHearing.Links;

/// <summary>When something was last heard on a connection, signs of life among it. Any thread.</summary>
public sealed class LinkHeard(TimeProvider time)
{
    private long _last = time.GetTimestamp();

    /// <summary>For how long nothing was heard.</summary>
    public TimeSpan SilentFor => time.GetElapsedTime(Volatile.Read(ref _last));

    /// <summary>Something was heard.</summary>
    public void Note() => Volatile.Write(ref _last, time.GetTimestamp());
}
