using Microsoft.AspNetCore.SignalR;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Fleet.Planning;

/// <summary>A whole plan with what was asked for.</summary>
/// <param name="Ask">What was asked.</param>
/// <param name="Last">Where the search ended; carries the plan.</param>
/// <param name="At">When it came.</param>
public sealed record MadePlan(FleetPlanAsk Ask, FleetPlanProgress Last, DateTimeOffset At);

/// <summary>The search that this tab asked for, and the last whole plan, which stays until a newer one comes: whoever opens a loan from it finds it again. Holds no truth.</summary>
public sealed class PlanRun(IConsoleLink link, HubClock clock) : IDisposable
{
    private CancellationTokenSource? _leave;

    /// <summary>What is being searched; absent while nothing is.</summary>
    public FleetPlanAsk? Asked { get; private set; }

    /// <summary>Newest word of the search; absent before the first.</summary>
    public FleetPlanProgress? Progress { get; private set; }

    /// <summary>When the search began, by the hub's clock.</summary>
    public DateTimeOffset Began { get; private set; }

    /// <summary>Whether the search was asked to end.</summary>
    public bool Stopping { get; private set; }

    /// <summary>The last whole plan.</summary>
    public MadePlan? Made { get; private set; }

    /// <summary>What came of the loans that were booked from it, by loan.</summary>
    public Dictionary<LoanId, KitAnswer> Booked { get; } = [];

    /// <summary>Why there is no newer plan, as a sentence and what to do.</summary>
    public Refusal? Trouble { get; private set; }

    /// <summary>Something changed.</summary>
    public event Action? Changed;

    /// <summary>Searches until the plan is there, the search is left, or the link breaks.</summary>
    public async Task Search(FleetPlanAsk ask)
    {
        if (Asked is not null)
        {
            return;
        }

        using var leave = new CancellationTokenSource();
        (_leave, Asked, Progress, Trouble, Stopping, Began) = (leave, ask, null, null, false, clock.Now);
        Changed?.Invoke();
        try
        {
            await foreach (var progress in link.PlanFleet(ask, leave.Token))
            {
                Take(ask, progress);
            }

            if (Made?.Ask.PlanId != ask.PlanId && Trouble is null)
            {
                Trouble = Broken;
            }
        }
        catch (OperationCanceledException) when (leave.IsCancellationRequested)
        {
            // Left on purpose; the hub ends the search when nobody reads it.
        }
        catch (HubException)
        {
            Trouble = new Refusal(RefusalCodes.StorageFault, "The hub had a fault and made no plan.", "Nothing was changed. Plan again; if it stays so, tell whoever runs the hub.");
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            Trouble = Broken;
        }
        finally
        {
            (_leave, Asked, Progress, Stopping) = (null, null, null, false);
            Changed?.Invoke();
        }
    }

    /// <summary>Ends the search; its best plan so far comes then.</summary>
    public async Task Stop()
    {
        if (Asked is not { } ask || Stopping)
        {
            return;
        }

        Stopping = true;
        Changed?.Invoke();
        try
        {
            // A refusal says that it is done already: its plan is on the way.
            await link.StopFleetPlan(ask.PlanId, CancellationToken.None);
        }
        catch (Exception fault) when (LinkFaults.Covers(fault))
        {
            Stopping = false;
            Changed?.Invoke();
        }
    }

    /// <summary>Leaves the search. Nothing of it is kept.</summary>
    public void Leave() => _leave?.Cancel();

    /// <summary>Remembers what came of booking a loan.</summary>
    public void Note(LoanId loan, KitAnswer answer)
    {
        Booked[loan] = answer;
        Changed?.Invoke();
    }

    /// <inheritdoc />
    public void Dispose() => _leave?.Cancel();

    private static Refusal Broken => new(RefusalCodes.StorageFault, "The link to the hub broke, and the search ended with it.", "Nothing was changed. Plan again once the link is back.");

    private void Take(FleetPlanAsk ask, FleetPlanProgress progress)
    {
        Progress = progress;
        if (progress.Refusal is { } refusal)
        {
            Trouble = refusal;
        }
        else if (progress.Plan is not null)
        {
            Made = new MadePlan(ask, progress, clock.Now);
            Booked.Clear();
        }

        Changed?.Invoke();
    }
}
