using System.Globalization;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Papers;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Cli;

public sealed class InventedClinicTests
{
    [Fact]
    public async Task EverySessionOfTheDayIsHeldWhereItsKitIs()
    {
        await using var hub = await RunningHub.Start();
        await Open(hub);

        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        var states = await hub.Get<KitFactStore>().States(Token);
        var sessions = await context.Sessions.ToListAsync(Token);
        Assert.NotEmpty(sessions);
        Assert.All(sessions, session => Assert.Contains(KitWay.Where(states[session.KitId], "the kit room"), session.Place, StringComparison.Ordinal));
    }

    /// <param name="time">Of the day, when the demonstration is opened.</param>
    [Theory]
    [InlineData("00:00")]
    [InlineData("00:30")]
    [InlineData("12:00")]
    [InlineData("23:59")]
    public async Task TheLoansOfTheDemonstrationStandOnTheLoansPageWithRemindersAndWithoutADoubt(string time)
    {
        var clock = new FakeTimeProvider(DateTimeOffset.Parse($"2026-03-12T{time}:00Z", CultureInfo.InvariantCulture));
        await using var hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(clock));
        await Open(hub);

        var view = await hub.Get<FleetFacts>().Read(Token);

        var states = await hub.Get<KitFactStore>().States(Token);
        Assert.True(view.Integrity.Valid);
        Assert.Equal(states.Values.Sum(state => state.Loans.Count + state.PastLoans.Count), view.Loans.Count + view.Past.Count);
        Assert.NotEmpty(view.Reminders);
        Assert.NotEmpty(view.Past);
        Assert.Contains(view.Loans, loan => loan.Standing == LoanStanding.Promised);
        Assert.All(view.Loans, loan => Assert.Null(loan.Doubt));
        Assert.All(view.Loans, loan => Assert.Equal(loan.Booking!.DueBack, loan.DueBack));
    }

    [Fact]
    public async Task TheKitWithAScreenHasContentsAndAPhotoOfThem()
    {
        await using var hub = await RunningHub.Start();
        await Open(hub);

        var kit = (await hub.Get<KitFactStore>().State(InventedClinic.Kit, Token))!;
        Assert.Equal(KitStage.CheckedInAtSite, kit.Stage);
        Assert.Contains(kit.Items, item => item.Battery is not null);
        Assert.Contains(kit.Items, item => item.SingleUse);
        var packed = PackedCase.Of(kit, kit.InHand!.Value);
        Assert.NotNull(hub.Get<PhotoStore>().Find(InventedClinic.Kit, packed!.Photo!));
    }

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    private static async Task Open(RunningHub hub)
    {
        var clinic = new InventedClinic(hub.App.Services);
        var people = await clinic.EnterClinic(Token);
        await clinic.PlanToday(people, Token);
        await new InventedFleet(hub.App.Services, people, hub.Get<TimeProvider>()).Enter(InventedFleet.Usual, InventedFleet.UsualLoans, Token);
    }
}
