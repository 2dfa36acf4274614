using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Cli;

public sealed class InventedClinicTests
{
    [Fact]
    public async Task EverySessionOfTheDayIsHeldWhereItsKitIs()
    {
        var token = TestContext.Current.CancellationToken;
        await using var hub = await RunningHub.Start();
        var clinic = new InventedClinic(hub.App.Services);

        await clinic.PlanToday(await clinic.EnterClinic(token), token);

        await using var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(token);
        var kits = await context.Kits.ToDictionaryAsync(kit => kit.KitId, kit => kit.Where, token);
        var sessions = await context.Sessions.ToListAsync(token);
        Assert.NotEmpty(sessions);
        Assert.All(sessions, session => Assert.Contains(kits[session.KitId].Split(',')[0], session.Place, StringComparison.Ordinal));
    }
}
