using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Link;
using TeleHearing.Site.Agent.Screen;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Where the kit keeps its files and how its sound is paced.</summary>
internal sealed record StepSettings(string DataFolder, Pace Pace);

/// <summary>Carries out one order at a time, on one loop, and reports each fact when it is durable.</summary>
internal sealed partial class StepRunner(
    OrderQueue orders,
    OrderLedger ledger,
    OrderDoor door,
    CurrentStep current,
    LeaseClock lease,
    StepGear gear,
    StepSettings settings,
    KitScreenState screen,
    ILogger<StepRunner> logger) : BackgroundService
{
    /// <summary>How long the first grant of a step may take; the hub sends one every 200 ms.</summary>
    private static readonly TimeSpan _leaseWait = TimeSpan.FromSeconds(1);

    /// <summary>How often the lease is looked at while a step waits for a person rather than for the audio loop, which looks itself.</summary>
    private static readonly TimeSpan _leaseLook = TimeSpan.FromMilliseconds(20);

    /// <summary>Steps that came since the program began, a few hundred a session: the ledger does not know one that the disk did not take.</summary>
    private readonly HashSet<StepId> _came = [];

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (true)
        {
            var order = await orders.TakeAsync(stoppingToken);
            try
            {
                await HandleAsync(order, stoppingToken);
            }
            catch (Exception fault) when (!stoppingToken.IsCancellationRequested)
            {
                // one broken order must not end the loop that carries out the next, and the hub must hear that it is over
                Log.Broken(logger, fault, order.StepId);
                gear.Engine.Silence();
                End(order, StepConclusion.Failed(RefusalCodes.Invalid, "The kit could not make sense of the order, so nothing was played. Order it again; if it comes back, restart the kit."));
            }
            finally
            {
                orders.Done();
            }
        }
    }

    private async Task HandleAsync(StepOrder order, CancellationToken stopping)
    {
        if (!_came.Add(order.StepId) || ledger.Of(order.SessionId)?.Orders.Contains(order.StepId) == true)
        {
            // the same order came twice; the first coming speaks for it
            Log.Duplicate(logger, order.StepId);
            return;
        }

        // It is in hand before it is looked at: a stop, a cut or a change of control after the look finds it, one before the look is seen by it.
        var step = current.Begin(order, stopping);
        try
        {
            if (door.WhyNot(order) is { } refusal)
            {
                Refuse(order, refusal);
                return;
            }

            End(order, await CarryOutAsync(order, step));
        }
        finally
        {
            current.End(step);
        }
    }

    private void Refuse(StepOrder order, Refusal refusal)
    {
        Log.Refused(logger, order.StepId, refusal.Code);
        if (refusal.Code is RefusalCodes.Duplicate or RefusalCodes.OutOfOrder)
        {
            TryLedger(() => ledger.Raise(order.SessionId, order.ControlEpoch));
        }
        else if (refusal.Code is not (RefusalCodes.OldEpoch or RefusalCodes.OtherSession))
        {
            TryLedger(() =>
            {
                ledger.Accept(order);
                ledger.End(order.StepId);
            });
        }

        End(order, StepConclusion.Refused(refusal));
    }

    private async Task<StepConclusion> CarryOutAsync(StepOrder order, RunningStep step)
    {
        try
        {
            ledger.Accept(order);
            var context = new StepContext(step, gear);
            context.Write(new StepStarted(order.StepId));
            Log.Started(logger, order.StepId, order.Request.GetType().Name);
            step.Token.ThrowIfCancellationRequested();
            if (!order.Request.MakesSound)
            {
                return await DispatchAsync(context);
            }

            await using var watch = gear.Time.CreateTimer(_ => LookAtLease(step), null, _leaseWait, _leaseLook);
            await WaitForLeaseAsync(step);
            return await DispatchAsync(context);
        }
        catch (StepBrokenException broken)
        {
            return broken.Conclusion;
        }
        catch (OperationCanceledException) when (step.Token.IsCancellationRequested)
        {
            return step.Broken ?? StepConclusion.ProgramEnded;
        }
        catch (StorageFaultException fault)
        {
            Log.StorageFault(logger, fault, order.StepId);
            screen.SetFault("This kit cannot save just now. Your clinician knows. Please wait.");
            return StepConclusion.Failed(RefusalCodes.StorageFault, StorageFaultException.Sentence);
        }
        catch (Exception fault)
        {
            // whatever it was, the clinician must hear that the step is over
            Log.Broken(logger, fault, order.StepId);
            gear.Engine.Silence();
            return StepConclusion.Failed(RefusalCodes.SoundFault, "The kit's program had a fault, so the step was ended in silence. Order it again; if it comes back, restart the kit.");
        }
    }

    private Task<StepConclusion> DispatchAsync(StepContext context) => context.Order.Request switch
    {
        CheckKitStep => KitCheck.RunAsync(context, settings.DataFolder, settings.Pace),
        MeasureRoomStep room => RoomMeasurement.RunAsync(context, room),
        ProveSidesStep sides => SideProof.RunAsync(context, sides),
        PresentToneStep tone => ThresholdSteps.PresentAsync(context, tone),
        WearGearStep wear => gear.Change.RunAsync(context, wear),
        SearchThresholdStep search => ThresholdSteps.SearchAsync(context, search),
        MeasurePartStep part => PartMeasurement.RunAsync(context, part),
        SearchEarStep search => ThresholdSteps.SearchAsync(context, search),
        _ => throw new InvalidOperationException("A step passed the gate that this kit does not know."),
    };

    /// <summary>The last word of a step. When the disk does not take it, it is owed, and the step stays marked as unfinished until it does.</summary>
    private void End(StepOrder order, StepConclusion conclusion)
    {
        Log.Ended(logger, order.StepId, conclusion.Ending, conclusion.Code ?? "none");
        gear.Facts.WriteOrOwe(order.SessionId, conclusion.ToReport(order.StepId), () => TryLedger(() => ledger.End(order.StepId)));
    }

    private async Task WaitForLeaseAsync(RunningStep step)
    {
        var began = gear.Time.GetTimestamp();
        while (!lease.IsValid)
        {
            if (gear.Time.GetElapsedTime(began) > _leaseWait)
            {
                throw new StepBrokenException(StepConclusion.LinkLost);
            }

            await Task.Delay(_leaseLook, gear.Time, step.Token);
        }
    }

    private void LookAtLease(RunningStep step)
    {
        if (!lease.IsValid && current.Now == step)
        {
            current.BreakSound(StepConclusion.LinkLost);
        }
    }

    private void TryLedger(Action change)
    {
        try
        {
            change();
        }
        catch (StorageFaultException fault)
        {
            // the mark stays; at the next start the step counts as broken off, and the hub drops what it holds already
            Log.LedgerNotKept(logger, fault);
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2501, Level = LogLevel.Information, Message = "Step {StepId} began: {Kind}.")]
        public static partial void Started(ILogger logger, StepId stepId, string kind);

        [LoggerMessage(EventId = 2502, Level = LogLevel.Information, Message = "Step {StepId} ended: {Ending} ({Code}).")]
        public static partial void Ended(ILogger logger, StepId stepId, StepEnding ending, string code);

        [LoggerMessage(EventId = 2503, Level = LogLevel.Warning, Message = "Step {StepId} was not begun: {Code}.")]
        public static partial void Refused(ILogger logger, StepId stepId, string code);

        [LoggerMessage(EventId = 2504, Level = LogLevel.Warning, Message = "Step {StepId} was ordered twice; the second order is dropped.")]
        public static partial void Duplicate(ILogger logger, StepId stepId);

        [LoggerMessage(EventId = 2505, Level = LogLevel.Error, Message = "Step {StepId} ended because the disk takes nothing.")]
        public static partial void StorageFault(ILogger logger, Exception fault, StepId stepId);

        [LoggerMessage(EventId = 2506, Level = LogLevel.Error, Message = "Step {StepId} met a fault of the program.")]
        public static partial void Broken(ILogger logger, Exception fault, StepId stepId);

        [LoggerMessage(EventId = 2507, Level = LogLevel.Error, Message = "The disk did not take a mark about an order.")]
        public static partial void LedgerNotKept(ILogger logger, Exception fault);
    }
}
