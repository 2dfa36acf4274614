using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>A change of gear under way: asked for by the step, marked as done at the kit's screen.</summary>
internal sealed class GearChange
{
    private readonly Lock _lock = new();
    private TaskCompletionSource? _done;

    /// <summary>A change was asked for.</summary>
    public event Action? Asked;

    /// <summary>The assistant says that it is done. False when no change is under way.</summary>
    public bool Confirm()
    {
        lock (_lock)
        {
            return _done?.TrySetResult() == true;
        }
    }

    /// <summary>The step: asks, waits, and only then takes the new gear for worn.</summary>
    /// <exception cref="OperationCanceledException">It was cut or stopped; what is worn is then not known.</exception>
    public async Task<StepConclusion> RunAsync(StepContext context, WearGearStep request)
    {
        var done = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        context.Worn.Set(null);
        lock (_lock)
        {
            _done = done;
        }

        try
        {
            Asked?.Invoke();
            await done.Task.WaitAsync(TimeSpan.FromMinutes(WearGearStep.LongestMinutes), context.Time, context.Token);
            context.Worn.Set(request.Ear is { } ear ? Worn.For(request.Route, ear) : Worn.Earphones);
            return StepConclusion.Completed();
        }
        catch (TimeoutException)
        {
            return StepConclusion.Failed(RefusalCodes.GearNotWorn, $"Nobody marked the change of gear as done within {WearGearStep.LongestMinutes} minutes. Nothing is played until it is. Speak with the assistant, then order it again.");
        }
        finally
        {
            lock (_lock)
            {
                _done = null;
            }
        }
    }
}
