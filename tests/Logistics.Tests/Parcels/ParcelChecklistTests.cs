using TeleHearing.Logistics.Items;
using TeleHearing.Logistics.Parcels;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Parcels;

/// <summary>Numbers of the practice reference, section 5: packing instructions 966 and 967, special provision 188; those it tags as from memory carry that tag.</summary>
public sealed class ParcelChecklistTests
{
    private static readonly ItemLine _unit = new("UNIT", "tester", 1, 1) { MassKg = 2, VolumeL = 5, Battery = new(37, 3, 1, InEquipment: true) };
    private static readonly ItemLine _spare = new("SPARE", "spare battery", 9, 0) { MassKg = 0.25, VolumeL = 0.2, Battery = new(37, 3, 1, InEquipment: false) { MassKg = 0.25 } };
    private static readonly ItemLine _button = new("BUTTON", "response button", 1, 1) { MassKg = 0.1, VolumeL = 0.1 };

    [Fact]
    public void AKitWithABatteryInsideIsContainedInEquipment()
    {
        var list = Check(Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_button, 1, null)));

        Assert.Equal((LithiumClass.ContainedInEquipment, true, 1, 0), (list.Lithium.Class, list.Lithium.IsSmall, list.Lithium.ContainedBatteries, list.Lithium.PackedWithBatteries));
        Assert.Equal(37 / 3.0, list.Lithium.HighestWattHoursPerCell, 12);
        Assert.Equal(["class", "size", "mark", "charge-contained", "metal", "confirm"], list.Lines.Select(line => line.Key));
        Assert.Contains("packing instruction 967", Line(list, "class").Sentence, StringComparison.Ordinal);
        Assert.Contains("1 battery in equipment, 0 batteries beside it", Line(list, "class").Sentence, StringComparison.Ordinal);
        Assert.True(list.ChargeOnArrival);
    }

    [Fact]
    public void ASpareBesideTheKitIsLookedAtByBothInstructions()
    {
        var list = Check(Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_spare, 1, 30)));

        Assert.Equal(LithiumClass.Both, list.Lithium.Class);
        Assert.Contains("packing instruction 966 and packing instruction 967", Line(list, "class").Sentence, StringComparison.Ordinal);
        Assert.Equal(ParcelAnswer.Met, Line(list, "charge-beside").Answer);
    }

    [Fact]
    public void ABatteryBesideEquipmentWithoutOneIsPackedWith() =>
        Assert.Equal(LithiumClass.PackedWithEquipment, Check(Air(new ParcelItem(_button, 1, null), new ParcelItem(_spare, 1, 30))).Lithium.Class);

    [Fact]
    public void BatteriesAloneAreNotCovered()
    {
        var list = Check(Air(new ParcelItem(_spare, 2, 30)));

        Assert.Equal(LithiumClass.BatteriesAlone, list.Lithium.Class);
        Assert.Contains("UN 3480", Line(list, "class").Sentence, StringComparison.Ordinal);
        Assert.False(list.ChargeOnArrival);
    }

    [Fact]
    public void AParcelWithoutBatteriesHasNoLineAboutThem() =>
        Assert.Equal(["metal", "confirm"], Check(Air(new ParcelItem(_button, 1, null), new ParcelItem(_unit, 0, null))).Lines.Select(line => line.Key));

    [Theory]
    [InlineData(20, 1, true)] // 20 Wh in one cell
    [InlineData(20.1, 1, false)]
    [InlineData(100, 5, true)] // 100 Wh of five cells with 20 Wh each
    [InlineData(100.1, 6, false)]
    [InlineData(61, 3, false)] // 20.3 Wh a cell
    public void SmallIsTwentyWattHoursACellAndAHundredABattery(double wattHours, int cells, bool small)
    {
        var list = Check(Air(new ParcelItem(_unit with { Battery = new(wattHours, cells, 1, true) }, 1, 20)));

        Assert.Equal(small, list.Lithium.IsSmall);
        Assert.Equal(small ? ParcelAnswer.Met : ParcelAnswer.NotMet, Line(list, "size").Answer);
        Assert.Equal(small, list.Lines.Any(line => line.Key == "mark"));
    }

    [Theory]
    [InlineData(3, 1, ParcelAnswer.Met)] // one to run it and two spares
    [InlineData(4, 1, ParcelAnswer.NotMet)]
    [InlineData(2, 0, ParcelAnswer.Met)]
    public void TwoSparesMayGoBeside(int beside, int toRun, ParcelAnswer answer) =>
        Assert.Equal(answer, Line(Check(Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_spare, beside, 30)) with { BatteriesToRunEquipment = toRun }), "spares").Answer);

    [Theory]
    [InlineData(0.25, ParcelAnswer.Met)]
    [InlineData(2.5, ParcelAnswer.Met)] // 5 kg
    [InlineData(2.6, ParcelAnswer.NotMet)]
    [InlineData(null, ParcelAnswer.Look)]
    public void FiveKilogramsOfBatteriesMayGoBeside(double? each, ParcelAnswer answer) =>
        Assert.Equal(answer, Line(Check(Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_spare with { Battery = _spare.Battery! with { MassKg = each } }, 2, 30))), "net").Answer);

    [Theory]
    [InlineData(30.0, ParcelAnswer.Met)]
    [InlineData(31.0, ParcelAnswer.NotMet)]
    [InlineData(null, ParcelAnswer.Look)]
    public void BatteriesBesideFlyWithThirtyPercent(double? charge, ParcelAnswer answer)
    {
        var line = Line(Check(Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_spare, 1, charge))), "charge-beside");

        Assert.Equal(answer, line.Answer);
        Assert.Contains("must be charged to 30 %", line.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void BeforeTwentyTwentySixThirtyPercentWereAdvice()
    {
        var sent = Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_spare, 1, 40));

        Assert.Contains("should be", Line(Check(sent with { SentOn = On("2025-12-31") }), "charge-beside").Sentence, StringComparison.Ordinal);
        Assert.Contains("must be", Line(Check(sent with { SentOn = On("2026-01-01") }), "charge-beside").Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(2.7, false)]
    [InlineData(2.8, true)]
    public void VerySmallBatteriesBesideHaveNoChargeLimit(double wattHours, bool limited) =>
        Assert.Equal(limited, Check(Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_spare with { Battery = new(wattHours, 1, 1, false) }, 1, 80))).Lines.Any(line => line.Key == "charge-beside"));

    [Theory]
    [InlineData(25.0, ParcelAnswer.Met)]
    [InlineData(26.0, ParcelAnswer.NotMet)]
    [InlineData(null, ParcelAnswer.Look)]
    public void AChargeThatIsShownIsAtMostTwentyFivePercentInEquipment(double? charge, ParcelAnswer answer)
    {
        var line = Line(Check(Air(new ParcelItem(_unit, 1, charge))), "charge-contained");

        Assert.Equal(answer, line.Answer);
        Assert.Contains("recommended", line.Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(3, 2, true)] // two batteries in equipment
    [InlineData(3, 3, false)]
    [InlineData(1, 4, true)] // four cells
    [InlineData(1, 5, false)]
    public void TheExemptionFromTheMarkIsOnlyFromMemory(int cells, int count, bool exempt)
    {
        var line = Line(Check(Air(new ParcelItem(_unit with { Battery = new(18, cells, count, true) }, 1, 20))), "mark");

        Assert.Equal(exempt ? SourceConfidence.Memory : SourceConfidence.Published, line.Confidence);
        Assert.Equal(exempt, line.Sentence.Contains("may not be needed", StringComparison.Ordinal));
        Assert.Contains("100 x 100 mm, or 100 x 70 mm", line.Sentence, StringComparison.Ordinal);
        Assert.Equal(ParcelAnswer.Look, line.Answer);
    }

    // Practice reference, section 5: beside equipment the limit on the charge begins above 2.7 Wh; in equipment it is recommended for all.
    [Theory]
    [InlineData(2.7, false, false)]
    [InlineData(2.8, false, true)]
    [InlineData(1, true, true)]
    public void OnlyBatteriesWhoseChargeIsLimitedAreChargedOnArrival(double wattHours, bool inEquipment, bool charge)
    {
        var parcel = Air(new ParcelItem(_button, 1, null), new ParcelItem(_spare with { Battery = new(wattHours, 1, 1, inEquipment) }, 1, 20));

        Assert.Equal(charge, Check(parcel).ChargeOnArrival);
        Assert.False(ParcelChecklist.LeavesMostlyEmpty(parcel with { Way = ParcelWay.Surface }));
        Assert.False(ParcelChecklist.LeavesMostlyEmpty(parcel with { Items = [parcel.Items[0], parcel.Items[1] with { Count = 0 }] }));
    }

    [Fact]
    public void OnTheGroundTheSpecialProvisionHolds()
    {
        var list = Check(Air(new ParcelItem(_unit, 1, 100), new ParcelItem(_spare, 1, 100)) with { Way = ParcelWay.Surface });

        Assert.Equal(["class", "size", "mark", "metal", "confirm"], list.Lines.Select(line => line.Key));
        Assert.Contains("special provision 188; US 49 CFR 173.185(c)", Line(list, "class").Sentence, StringComparison.Ordinal);
        Assert.False(list.ChargeOnArrival);
    }

    [Fact]
    public void TheListNeverSaysThatAParcelMayBeSent()
    {
        var lists = new[] { Air(new ParcelItem(_unit, 1, 20)), Air(), Air(new ParcelItem(_spare, 1, 20)), Air(new ParcelItem(_unit, 1, 20)) with { Way = ParcelWay.Surface } }.Select(Check);

        Assert.All(lists, list =>
        {
            Assert.Equal(("confirm", ParcelAnswer.Look), (list.Lines[^1].Key, list.Lines[^1].Answer));
            Assert.Contains("Confirm all of it with the carrier", list.Lines[^1].Sentence, StringComparison.Ordinal);
            Assert.DoesNotContain(list.Lines, line => line.Sentence.Contains("legal", StringComparison.OrdinalIgnoreCase) || line.Sentence.Contains("complies", StringComparison.OrdinalIgnoreCase));
        });
    }

    [Fact]
    public void MassAndVolumeAreHeldAgainstTheCarriersLimits()
    {
        var parcel = Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_spare, 2, 20), new ParcelItem(_button, 1, null)) with { PackagingMassKg = 0.4, PackagingVolumeL = 1 };

        var met = Check(parcel with { Limits = new(3, 7) });
        var over = Check(parcel with { Limits = new(2.999, 6.4) });

        Assert.Equal(3, met.Totals.MassKg, 12);
        Assert.Equal(6.5, met.Totals.VolumeL, 12);
        Assert.Equal((ParcelAnswer.Met, ParcelAnswer.Met), (Line(met, "mass").Answer, Line(met, "volume").Answer));
        Assert.Equal((ParcelAnswer.NotMet, ParcelAnswer.NotMet), (Line(over, "mass").Answer, Line(over, "volume").Answer));
        Assert.DoesNotContain(Check(parcel).Lines, line => line.Key is "mass" or "volume");
    }

    [Fact]
    public void ThingsNobodyWeighedAreNamedAndNotTakenForNothing()
    {
        var parcel = Air(new ParcelItem(_unit, 1, 20), new ParcelItem(_button with { MassKg = null }, 1, null));

        var line = Line(Check(parcel with { Limits = new(3, null) }), "mass");

        Assert.Equal(ParcelAnswer.Look, line.Answer);
        Assert.Contains("not weighed: BUTTON", line.Sentence, StringComparison.Ordinal);
        Assert.Equal(ParcelAnswer.NotMet, Line(Check(parcel with { Limits = new(1, null) }), "mass").Answer);
    }

    [Fact]
    public void AParcelThatCannotBeLookedAtSaysAllThatIsWrong()
    {
        var wrong = new Parcel([new ParcelItem(_unit, -1, 101)], (ParcelWay)7, default)
        {
            PackagingMassKg = double.NaN,
            PackagingVolumeL = -1,
            BatteriesToRunEquipment = -1,
            Limits = new(0, double.PositiveInfinity),
        };

        Assert.Equal(
            ["UNIT Count", "UNIT ChargePercent", "PackagingMassKg", "PackagingVolumeL", "BatteriesToRunEquipment", "SentOn", "Way", "MassKg", "VolumeL"],
            wrong.Faults().Select(fault => fault.Field));
        Assert.Throws<ArgumentException>(() => ParcelChecklist.Of(wrong));
        Assert.Equal(["Items"], Air(new ParcelItem(null!, 1, null)).Faults().Select(fault => fault.Field));
        Assert.Equal(["Limits"], (Air() with { Limits = null! }).Faults().Select(fault => fault.Field));
        Assert.NotEmpty(Air(new ParcelItem(_unit with { Battery = new(double.NaN, 1, 1, true) }, 1, null)).Faults());
    }

    private static Parcel Air(params ParcelItem[] items) => new(items, ParcelWay.Air, On("2026-03-11"));

    private static ParcelChecklist Check(Parcel parcel) => ParcelChecklist.Of(parcel);

    private static ParcelCheckLine Line(ParcelChecklist list, string key) => list.Lines.Single(line => line.Key == key);
}
