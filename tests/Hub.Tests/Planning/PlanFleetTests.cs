using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Planning;

public sealed class PlanFleetTests
{
    private static readonly DateOnly _today = DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime);

    [Fact]
    public async Task ACoordinatorGetsAPlanThatSaysWhyARequestHasNoKit()
    {
        await using var hub = await RunningHub.Start();
        await using var console = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));
        var loan = new RequestLoan(LoanId.New(), [], [_today.AddDays(40)], "12 Fjord Road", FleetCalendar.Clinic, "Europe/Oslo", [], LoanUrgency.Ordinary, null);
        var receipt = await console.Connection.InvokeAsync<Receipt>(
            nameof(IConsoleHub.AskFleet),
            new FleetCommandEnvelope(Protocol.Version, CommandId.New(), TimeProvider.System.GetUtcNow().AddMinutes(5), loan),
            TestContext.Current.CancellationToken);
        Assert.Null(receipt.Refusal);

        var last = (await Plan(console, Ask()))[^1];

        Assert.Null(last.Refusal);
        Assert.Equal(1, last.Requests);
        Assert.True(last.Bound!.Proven);
        var unplaced = Assert.Single(last.Plan!.Unplaced);
        Assert.Equal(loan.LoanId, unplaced.LoanId);
        Assert.NotEmpty(unplaced.Reason);
    }

    [Fact]
    public async Task AClinicianMayNotPlanTheFleet()
    {
        await using var hub = await RunningHub.Start();
        await using var console = await hub.Console(await hub.Person("Maren Toft", Roles.Clinician));

        Assert.Equal(RefusalCodes.RoleNotAllowed, Assert.Single(await Plan(console, Ask())).Refusal?.Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await console.Connection.InvokeAsync<FleetPlanStopped>(nameof(IConsoleHub.StopFleetPlan), Guid.NewGuid(), TestContext.Current.CancellationToken)).Refusal?.Code);
    }

    [Fact]
    public async Task APlanOfThePastOrOfNoTimeIsRefusedInWords()
    {
        await using var hub = await RunningHub.Start();
        await using var console = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));

        Assert.Contains("in the past", Assert.Single(await Plan(console, Ask() with { From = _today.AddDays(-10) })).Refusal?.Sentence, StringComparison.Ordinal);
        Assert.Contains("seconds", Assert.Single(await Plan(console, Ask() with { Seconds = 0 })).Refusal?.Sentence, StringComparison.Ordinal);
        Assert.Contains("done already", (await console.Connection.InvokeAsync<FleetPlanStopped>(nameof(IConsoleHub.StopFleetPlan), Guid.NewGuid(), TestContext.Current.CancellationToken)).Refusal?.Sentence, StringComparison.Ordinal);
    }

    private static FleetPlanAsk Ask() => new(Guid.NewGuid(), _today.AddDays(1), _today.AddDays(120), 20, 5, MovePromised: false, OneMoreKit: false);

    private static async Task<IReadOnlyList<FleetPlanProgress>> Plan(TestConsole console, FleetPlanAsk ask)
    {
        var all = new List<FleetPlanProgress>();
        await foreach (var progress in console.Connection.StreamAsync<FleetPlanProgress>(nameof(IConsoleHub.PlanFleet), ask, TestContext.Current.CancellationToken))
        {
            all.Add(progress);
        }

        return all;
    }
}
