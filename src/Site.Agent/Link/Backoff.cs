namespace TeleHearing.Site.Agent.Link;

/// <summary>How long to wait before the next try to connect: at once first, then longer, never more than 2 s, without end.</summary>
internal sealed class Backoff
{
    private static readonly double[] _seconds = [0, 0.2, 0.5, 1, 2];
    private int _tries;

    /// <summary>Wait before the next try.</summary>
    public TimeSpan Next() => TimeSpan.FromSeconds(_seconds[Math.Min(_tries++, _seconds.Length - 1)]);

    /// <summary>A connection stood.</summary>
    public void Reset() => _tries = 0;
}
