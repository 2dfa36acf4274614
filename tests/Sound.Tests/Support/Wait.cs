namespace TeleHearing.Sound.Tests.Support;

/// <summary>Waits for something to become so; the only limit is that of a hang.</summary>
internal static class Wait
{
    public static async Task UntilAsync(Func<bool> condition)
    {
        using var limit = new CancellationTokenSource(TimeSpan.FromSeconds(120), TimeProvider.System);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(limit.Token, TestContext.Current.CancellationToken);
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(10), TimeProvider.System);
        while (!condition())
        {
            await timer.WaitForNextTickAsync(either.Token);
        }
    }
}
