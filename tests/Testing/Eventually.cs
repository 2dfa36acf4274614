namespace TeleHearing.Testing;

/// <summary>Waiting for something that announces itself nowhere.</summary>
public static class Eventually
{
    private static readonly TimeSpan _between = TimeSpan.FromMilliseconds(20);

    /// <summary>Looks again and again until it holds.</summary>
    /// <exception cref="TimeoutException">It did not hold within the limit.</exception>
    public static Task Holds(Func<bool> condition, string what, TimeSpan limit, CancellationToken cancellationToken) =>
        Holds(() => Task.FromResult(condition()), what, limit, cancellationToken);

    /// <inheritdoc cref="Holds(Func{bool}, string, TimeSpan, CancellationToken)"/>
    public static async Task Holds(Func<Task<bool>> condition, string what, TimeSpan limit, CancellationToken cancellationToken)
    {
        var start = TimeProvider.System.GetTimestamp();
        while (!await condition())
        {
            if (TimeProvider.System.GetElapsedTime(start) > limit)
            {
                throw new TimeoutException($"Not within {limit.TotalSeconds:0} s: {what}");
            }

            await Task.Delay(_between, TimeProvider.System, cancellationToken);
        }
    }
}
