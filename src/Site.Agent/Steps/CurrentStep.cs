using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>The step in hand, and the ways to end it from outside. Silence always comes first.</summary>
/// <remarks>Called from any thread: the link's handlers, the screen, the lease watch. The step itself runs on the loop of <see cref="StepRunner"/>.</remarks>
internal sealed class CurrentStep(AudioEngine engine)
{
    /// <summary>Cuts that came before their step; more than these cannot be under way at once.</summary>
    private const int EarlyCutsKept = 64;
    private readonly Lock _lock = new();
    private readonly Queue<StepId> _earlyCuts = new();
    private RunningStep? _now;

    /// <summary>A step began or ended.</summary>
    public event Action? Changed;

    /// <summary>The step in hand.</summary>
    public RunningStep? Now
    {
        get
        {
            lock (_lock)
            {
                return _now;
            }
        }
    }

    /// <summary>Makes an order the step in hand.</summary>
    public RunningStep Begin(StepOrder order, CancellationToken stopping)
    {
        var step = new RunningStep(order, stopping);
        lock (_lock)
        {
            _now = step;
            if (_earlyCuts.Contains(order.StepId))
            {
                step.Break(StepConclusion.Cut);
            }
        }

        Changed?.Invoke();
        return step;
    }

    /// <summary>The step is over.</summary>
    public void End(RunningStep step)
    {
        lock (_lock)
        {
            _now = _now == step ? null : _now;
        }

        step.Dispose();
        Changed?.Invoke();
    }

    /// <summary>Silence now; the step in hand, if any, ends as said.</summary>
    public void Break(StepConclusion conclusion)
    {
        engine.Silence();
        lock (_lock)
        {
            _now?.Break(conclusion);
        }
    }

    /// <summary>As <see cref="Break"/>, when the step in hand may make sound.</summary>
    public void BreakSound(StepConclusion conclusion)
    {
        lock (_lock)
        {
            if (_now is not { Order.Request.MakesSound: true })
            {
                return;
            }
        }

        Break(conclusion);
    }

    /// <summary>Cuts one step: silence if it is in hand, and it is never begun if it is still to come.</summary>
    public void Cut(StepId stepId)
    {
        lock (_lock)
        {
            if (_now?.Order.StepId != stepId)
            {
                _earlyCuts.Enqueue(stepId);
                if (_earlyCuts.Count > EarlyCutsKept)
                {
                    _earlyCuts.Dequeue();
                }

                return;
            }
        }

        Break(StepConclusion.Cut);
    }
}

/// <summary>A step being carried out.</summary>
internal sealed class RunningStep : IDisposable
{
    private readonly CancellationTokenSource _broken;
    private StepConclusion? _conclusion;

    public RunningStep(StepOrder order, CancellationToken stopping)
    {
        Order = order;
        _broken = CancellationTokenSource.CreateLinkedTokenSource(stopping);
        Token = _broken.Token;
    }

    public StepOrder Order { get; }

    /// <summary>Cancelled when the step is broken off.</summary>
    public CancellationToken Token { get; }

    /// <summary>How it was broken off; absent when it was not.</summary>
    public StepConclusion? Broken => Volatile.Read(ref _conclusion);

    /// <summary>Breaks it off; the first reason stays.</summary>
    public void Break(StepConclusion conclusion)
    {
        Interlocked.CompareExchange(ref _conclusion, conclusion, null);
        _broken.Cancel();
    }

    public void Dispose() => _broken.Dispose();
}

/// <summary>How a step ended.</summary>
internal sealed record StepConclusion(StepEnding Ending, string? Code, string? Reason, StepResult? Result)
{
    public static StepConclusion Cut { get; } = new(StepEnding.Cut, RefusalCodes.CutByClinician, "The clinician cut the step. Its running trial does not count.", null);

    public static StepConclusion LinkLost { get; } = new(StepEnding.Interrupted, RefusalCodes.LinkLost, "The link between kit and hub was lost, so the kit fell silent. The running trial does not count. Order the step again when the link is back.", null);

    public static StepConclusion Stopped { get; } = new(StepEnding.Interrupted, RefusalCodes.StopPressed, "Stop was pressed at the site, so the kit fell silent. The running trial does not count. Speak with the person before you resume.", null);

    public static StepConclusion ConsentTakenBack { get; } = new(StepEnding.Interrupted, RefusalCodes.ConsentMissing, "Consent was taken back at the site, so the kit fell silent. The running trial does not count. Go on only with new consent.", null);

    public static StepConclusion Restarted { get; } = new(StepEnding.Interrupted, RefusalCodes.AgentRestarted, "The kit's program was restarted while the step ran. The running trial does not count. Order the step again.", null);

    public static StepConclusion ProgramEnded { get; } = new(StepEnding.Interrupted, RefusalCodes.AgentRestarted, "The kit's program was ended while the step ran. The running trial does not count. Order the step again when the kit is back.", null);

    /// <summary>The person must be told again what to do; only then the step can be ordered anew.</summary>
    public static StepConclusion Instruct(string reason) => new(StepEnding.Interrupted, RefusalCodes.InstructAgain, reason, null);

    public static StepConclusion Completed(StepResult? result = null) => new(StepEnding.Completed, null, null, result);

    public static StepConclusion Refused(Refusal refusal) => new(StepEnding.Refused, refusal.Code, Join(refusal), null);

    public static StepConclusion Failed(string code, string reason) => new(StepEnding.Failed, code, reason, null);

    public StepEnded ToReport(StepId stepId) => new(stepId, Ending, Code, Reason, Result);

    private static string Join(Refusal refusal) => refusal.Remedy is null ? refusal.Sentence : $"{refusal.Sentence} {refusal.Remedy}";
}
