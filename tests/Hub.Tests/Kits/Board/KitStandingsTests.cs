using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Tests.Kits.Journey;

namespace TeleHearing.Hub.Tests.Kits.Board;

/// <summary>What the board reads from a kit.</summary>
public sealed class KitStandingsTests
{
    [Fact]
    public void WithAnotherDayToBeBackTheLadderBeginsAnewOnTheBoardToo()
    {
        var kit = new JourneyKit().At(KitStage.CheckedInAtSite);
        kit.Kit.Now = kit.Kit.Now.AddDays(16);
        kit.Must(new TakeReminderStep(kit.Loan, "call", null));
        Assert.Equal(["call"], Standing(kit).LadderTaken);

        kit.Kit.Now = kit.Kit.Now.AddHours(1);
        kit.Must(new ExtendLoan(kit.Loan, kit.Today.AddDays(2), kit.Today.AddDays(5), "a second session"));

        Assert.Empty(Standing(kit).LadderTaken);
    }

    private static KitStanding Standing(JourneyKit kit) => KitStandings.Of(kit.State, kit.Kit.Context.Others, new ClinicDay(TimeZoneInfo.Utc, kit.Today));
}
