using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Hosting;

/// <summary>How many commands and reports are worked on at once: as many as keep processors and disk busy. The others wait here, instead of sharing the processors with what must not be late: silence, leases, signs of life. Silence waits for no place. Any thread.</summary>
/// <param name="clock">Of the machine, not of the hub: a clock that stands still in a test must not keep anybody waiting.</param>
internal sealed class WorkPlaces(TimeProvider clock) : IHubFilter, IDisposable
{
    /// <summary>For each processor (design). With two, hardly more messages were worked off, and a stop waited behind them for a processor.</summary>
    private const int PerProcessor = 1;

    /// <summary>Fewest in all (design): while one waits for the disk, another one computes.</summary>
    private const int Fewest = 2;

    private readonly SemaphoreSlim _places = new(Count, Count);

    /// <summary>Places there are.</summary>
    public static int Count { get; } = Math.Max(Fewest, PerProcessor * Environment.ProcessorCount);

    /// <summary>Longest wait (design). Whoever waited so long goes on without a place: those who have one may all be waiting for a store that does not answer, and that keeps nobody else.</summary>
    public static TimeSpan Longest { get; } = TimeSpan.FromMilliseconds(250);

    public ValueTask<object?> InvokeMethodAsync(HubInvocationContext invocationContext, Func<HubInvocationContext, ValueTask<object?>> next) =>
        IsWork(invocationContext.HubMethodArguments) ? Within(() => next(invocationContext)) : next(invocationContext);

    /// <summary>Does something at a place.</summary>
    public async ValueTask<T> Within<T>(Func<ValueTask<T>> work)
    {
        var place = _places.WaitAsync();
        var has = place.IsCompleted || await InTime(place);
        try
        {
            return await work();
        }
        finally
        {
            if (has)
            {
                _places.Release();
            }
        }
    }

    public void Dispose() => _places.Dispose();

    private static bool IsWork(IReadOnlyList<object?> asked) => asked is [CommandEnvelope { Command: var command }] ? !Silencing.Silences(command) : asked is [SignedReports];

    private async Task<bool> InTime(Task place)
    {
        try
        {
            await place.WaitAsync(Longest, clock);
            return true;
        }
        catch (TimeoutException)
        {
            // The place still comes, and goes straight to the next one.
            _ = GiveBack(place);
            return false;
        }
    }

    private async Task GiveBack(Task place)
    {
        await place;
        _places.Release();
    }
}
