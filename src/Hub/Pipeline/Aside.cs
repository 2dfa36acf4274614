namespace TeleHearing.Hub.Pipeline;

/// <summary>Work that nobody waits for.</summary>
internal static class Aside
{
    /// <summary>Begins it after the caller has gone on: on the thread pool, or where the caller's own work is scheduled, so that a program that schedules everything itself keeps the order in its hands.</summary>
    public static async Task Run(Func<Task> work)
    {
        await Task.Yield();
        await work();
    }
}
