using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Tests.Kits.Journey;

namespace TeleHearing.Hub.Tests.Kits.Items;

/// <summary>What a kit is told of its own case and loan.</summary>
public sealed class KitCaseBuilderTests
{
    private static readonly FleetTerms _terms = FleetTerms.Initial with { ReturnAddress = " Fernhill Hearing \r\n\n Mill Lane 4\n" };

    private static KitItem Powered(double wattHours = 18, bool inEquipment = true) =>
        new("UNIT", "earphone unit", 1, 0) { Battery = new ItemBattery(wattHours, 4, 1, inEquipment) };

    /// <summary>A kit on its way out, with the item beside the usual things.</summary>
    private static JourneyKit Sent(KitItem item, int packed = 1)
    {
        var kit = new JourneyKit();
        kit.Must(new SetContents([.. JourneyKit.Contents, item])).Must(kit.Promise()).Must(new SignLoanPaper(kit.Loan, "R. Hale"));
        return kit.Must(new PackKit(kit.Loan, [.. JourneyKit.Full, new ItemCount(item.ItemId, packed)], null, null)).Must(kit.Send());
    }

    [Fact]
    public void AKitOnALoanIsToldTheLinesOfTheClinicsAddress()
    {
        var sent = new JourneyKit().At(KitStage.InTransitOut).State;

        Assert.Equal(["Fernhill Hearing", "Mill Lane 4"], KitCaseBuilder.Of(sent, _terms).ReturnTo);
        Assert.Empty(KitCaseBuilder.Of(sent, FleetTerms.Initial).ReturnTo);
        Assert.Empty(KitCaseBuilder.Of(new JourneyKit().State, _terms).ReturnTo);
    }

    // Practice reference, section 5: contained in equipment 30 % at most is recommended; beside equipment it is a rule above 2.7 Wh.
    [Theory]
    [InlineData(18, true, true)]
    [InlineData(1, true, true)]
    [InlineData(18, false, true)]
    [InlineData(2.8, false, true)]
    [InlineData(2.7, false, false)]
    public void BatteriesThatTravelNearlyEmptyAreChargedFirst(double wattHours, bool inEquipment, bool charge) =>
        Assert.Equal(charge, KitCaseBuilder.Of(Sent(Powered(wattHours, inEquipment)).State, _terms).ChargeFirst);

    [Fact]
    public void WithoutABatteryInTheCaseNothingIsCharged()
    {
        Assert.False(KitCaseBuilder.Of(Sent(new KitItem("CARD", "card with the steps", 1, 0)).State, _terms).ChargeFirst);
        Assert.False(KitCaseBuilder.Of(Sent(Powered(), packed: 0).State, _terms).ChargeFirst);
    }

    [Fact]
    public void ChargingIsForTheArrivalAndNotForWhatComesBeforeOrAfterASession()
    {
        var kit = new JourneyKit();
        kit.Must(new SetContents([.. JourneyKit.Contents, Powered()])).Must(kit.Promise()).Must(new SignLoanPaper(kit.Loan, "R. Hale"));
        kit.Must(new PackKit(kit.Loan, [.. JourneyKit.Full, new ItemCount("UNIT", 1)], null, null));
        Assert.False(KitCaseBuilder.Of(kit.State, _terms).ChargeFirst);

        foreach (var step in new KitCommand[] { kit.Send(), kit.Carrier(CarrierStatus.Delivered), new CheckInKit(kit.Loan, [], null, EntryMeans.Reported) })
        {
            Assert.True(KitCaseBuilder.Of(kit.Must(step).State, _terms).ChargeFirst, kit.Stage.ToString());
        }

        kit.Use();
        Assert.False(KitCaseBuilder.Of(kit.State, _terms).ChargeFirst);
        kit.SetDown();
        Assert.Equal(KitStage.CheckedInAtSite, kit.Stage);
        Assert.False(KitCaseBuilder.Of(kit.State, _terms).ChargeFirst);
    }
}
