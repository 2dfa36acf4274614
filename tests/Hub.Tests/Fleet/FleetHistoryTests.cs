using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Demand;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>Demand, cycles and losses counted from what is recorded.</summary>
public sealed class FleetHistoryTests
{
    private static readonly KitCommand[] _toTheShelf =
    [
        new BeginCleaning("needed"),
        new SignTurnaround(KitStage.Cleaning, [], [], "done already", null),
        new SignTurnaround(KitStage.Inspection, [], [], "done already", null),
        new SignTurnaround(KitStage.Restock, [], [], "done already", null),
        KitSamples.Function(passed: true),
        new ReleaseKit(),
    ];

    private readonly PureFleet _fleet = new();

    [Fact]
    public void ACycleRunsFromTheSendingToTheReleaseAndEveryRequestIsDemand()
    {
        var began = _fleet.Hardware.Today;
        _fleet.Ask(PureFleet.Request(began.AddDays(40)));
        _fleet.Sent(began.AddDays(20));
        _fleet.Hardware.Now = _fleet.Hardware.Now.AddDays(17);
        _fleet.AskKit(new ReceiveKit(null, [], null, EntryMeans.Typed));
        Assert.Empty(Build().CycleDays);
        _fleet.Hardware.Now = _fleet.Hardware.Now.AddDays(2);
        foreach (var command in _toTheShelf)
        {
            Assert.Null(_fleet.AskKit(command));
        }

        var history = Build();

        Assert.Equal((began, _fleet.Hardware.Today.AddDays(1)), (history.From, history.Until));
        Assert.Equal((2, 1, 0, 1), (history.AskedFor, history.Trips, history.Lost, history.Kits));
        Assert.Equal([19], history.CycleDays);
    }

    [Fact]
    public void ALostKitIsALossAndIsNoLongerInService()
    {
        _fleet.Sent(_fleet.Hardware.Today.AddDays(20));
        _fleet.AskKit(new ReportKitGone(Stolen: false, "Left on a train.", MayHoldData: false));

        var history = Build();

        Assert.Equal((1, 1, 0), (history.Trips, history.Lost, history.Kits));
        Assert.Empty(history.CycleDays);
    }

    [Fact]
    public void WhatIsOlderThanAYearDoesNotCount()
    {
        _fleet.Ask(PureFleet.Request(_fleet.Hardware.Today.AddDays(40)));
        _fleet.Hardware.Now = _fleet.Hardware.Now.AddDays(FleetHistoryBuilder.LongestDays + 10);

        var history = Build();

        Assert.Equal(0, history.AskedFor);
        Assert.Equal(FleetHistoryBuilder.LongestDays + 1, history.Until.DayNumber - history.From.DayNumber);
    }

    [Fact]
    public void AClinicWithoutAnyFactHasAHistoryOfOneEmptyDay()
    {
        var history = FleetHistoryBuilder.Build(FleetState.Empty, [], new DateOnly(2026, 3, 2), TimeZoneInfo.Utc);

        Assert.Equal((new DateOnly(2026, 3, 2), new DateOnly(2026, 3, 3), 0, 0), (history.From, history.Until, history.AskedFor, history.Kits));
    }

    [Fact]
    public async Task OnlyACoordinatorOrAnOwnerReadsIt()
    {
        await using var hub = await RunningHub.Start();
        await using var coordinator = await hub.Console(await hub.Person("Pella Nyström", Roles.Coordinator));
        await using var clinician = await hub.Console(await hub.Person("Maren Toft", Roles.Clinician));

        Assert.NotNull((await Read(coordinator)).History);
        Assert.Equal(RefusalCodes.RoleNotAllowed, (await Read(clinician)).Refusal?.Code);
    }

    private static Task<FleetHistoryReply> Read(TestConsole console) =>
        console.Connection.InvokeAsync<FleetHistoryReply>(nameof(IConsoleHub.ReadFleetHistory), TestContext.Current.CancellationToken);

    private FleetHistoryView Build() => FleetHistoryBuilder.Build(_fleet.State, [_fleet.Hardware.State], _fleet.Hardware.Today, TimeZoneInfo.Utc);
}
