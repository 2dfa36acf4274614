using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Items;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Items;

public sealed class ItemTests
{
    private static readonly ItemLine _unit = new("UNIT", "tester", 1, 1) { Serial = "A-1", PairingGroup = "1", NeedsCertificate = true };
    private static readonly ItemLine _phones = new("PHONES", "insert earphones, pair", 1, 1) { Serial = "B-1", PairingGroup = "1" };
    private static readonly ItemLine _tips = new("TIPS", "ear tips, yellow", 20, 8) { SingleUse = true, Lot = "L7", Expiry = On("2026-03-20") };
    private static readonly ItemLine[] _lines = [_unit, _phones, _tips];

    [Fact]
    public void WhatIsLackingIsToldFromWhatForbidsSending()
    {
        var needs = RestockNeed.Of(_lines, [new("UNIT", 1), new("TIPS", 5), new("TIPS", 2)]);

        Assert.Equal([new RestockNeed("PHONES", 0, 1, 1), new RestockNeed("TIPS", 7, 1, 13)], needs);
        Assert.All(needs, need => Assert.True(need.BelowPar));
        Assert.False(RestockNeed.Of(_lines, [new("UNIT", 1), new("PHONES", 1), new("TIPS", 8)]).Single().BelowPar);
        Assert.Empty(RestockNeed.Of(_lines, [new("UNIT", 1), new("PHONES", 1), new("TIPS", 25)]));
    }

    [Fact]
    public void WhatIsPutInAsAskedIsEnough() =>
        Prop.ForAll(Gen.Choose(0, 30).ToArbitrary(), Gen.Choose(1, 30).ToArbitrary(), Gen.Choose(0, 30).ToArbitrary(), (counted, expected, par) =>
        {
            var line = new ItemLine("A", "thing", expected, Math.Min(par, expected));
            var need = RestockNeed.Of([line], [new("A", counted)]).SingleOrDefault();
            return counted + (need?.ToPar ?? 0) >= line.ParCount && counted + (need?.ToExpected ?? 0) >= expected && (need?.ToPar ?? 0) <= (need?.ToExpected ?? 0);
        }).QuickCheckThrowOnFailure();

    [Theory]
    [InlineData("2026-03-11", "2026-03-20", null)]
    [InlineData("2026-03-11", "2026-03-21", ExpiryStanding.EndsOnLoan)]
    [InlineData("2026-03-20", null, null)]
    [InlineData("2026-03-21", null, ExpiryStanding.Over)]
    [InlineData("2026-03-21", "2026-04-01", ExpiryStanding.Over)]
    public void ThingsThatExpireBeforeTheKitIsBackAreNamed(string day, string? dueBack, ExpiryStanding? standing)
    {
        var warnings = ExpiryWarning.Of(_lines, On(day), dueBack is null ? null : On(dueBack));

        Assert.Equal(standing is null ? [] : [new ExpiryWarning("TIPS", "L7", On("2026-03-20"), standing.Value)], warnings);
    }

    [Fact]
    public void ALoanThatEndsBeforeItBeginsIsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => ExpiryWarning.Of(_lines, On("2026-03-21"), On("2026-03-20")));

    [Fact]
    public void TwoCountsAreComparedItemByItem()
    {
        var differences = CountDifference.Between(
            _lines,
            [new("UNIT", 1), new("PHONES", 1), new("TIPS", 20), new("PEN", 1)],
            [new("TIPS", 14), new("UNIT", 2), new("MUG", 1), new("PEN", 1)]);

        Assert.Equal(
            [
                new CountDifference("UNIT", 1, 2, CountDifferenceKind.More),
                new CountDifference("PHONES", 1, 0, CountDifferenceKind.Missing),
                new CountDifference("TIPS", 20, 14, CountDifferenceKind.UsedUp),
                new CountDifference("MUG", 0, 1, CountDifferenceKind.NotListed),
            ],
            differences);
        Assert.Equal([1, -1, -6, 1], differences.Select(one => one.Change));
    }

    [Fact]
    public void TheDifferencesMakeOneCountOfTheOther() =>
        Prop.ForAll(Tallies.ToArbitrary(), Tallies.ToArbitrary(), (before, after) =>
        {
            var changed = before.Concat(CountDifference.Between(_lines, before, after).Select(one => new ItemTally(one.ItemId, 0))).Select(one => one.ItemId).Distinct()
                .ToDictionary(item => item, item => before.Where(one => one.ItemId == item).Sum(one => one.Count));
            foreach (var difference in CountDifference.Between(_lines, before, after))
            {
                changed[difference.ItemId] += difference.Change;
            }

            return changed.All(one => one.Value == after.Where(tally => tally.ItemId == one.Key).Sum(tally => tally.Count));
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void APairIsBrokenWhenOneOfItIsThereAlone()
    {
        var broken = Assert.Single(BrokenPairing.Of(_lines, [new("UNIT", 1), new("TIPS", 20)]));

        Assert.Equal(("1", "UNIT", "PHONES"), (broken.PairingGroup, Assert.Single(broken.There), Assert.Single(broken.Lacking)));
        Assert.Empty(BrokenPairing.Of(_lines, [new("UNIT", 1), new("PHONES", 1)]));
        Assert.Empty(BrokenPairing.Of(_lines, []));
    }

    [Fact]
    public void CountsThatCannotBeRightAreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => RestockNeed.Of(_lines, [new("UNIT", -1)]));
        Assert.Throws<ArgumentOutOfRangeException>(() => CountDifference.Between(_lines, [new("UNIT", int.MaxValue)], []));
        Assert.Throws<ArgumentException>(() => BrokenPairing.Of(_lines, [new(" ", 1)]));
        Assert.Throws<ArgumentException>(() => RestockNeed.Of(_lines, [null!]));
    }

    [Fact]
    public void ALineThatCannotBeUsedSaysAllThatIsWrong()
    {
        var wrong = new ItemLine("", new string('x', 101), 0, 1)
        {
            Serial = " ",
            Lot = "",
            PairingGroup = "",
            Expiry = default(DateOnly),
            MassKg = double.NaN,
            VolumeL = -1,
            Battery = new LithiumPack(double.PositiveInfinity, 0, 0, true) { MassKg = 51 },
        };

        Assert.Equal(
            ["ItemId", "Kind", "Serial", "Lot", "PairingGroup", "ExpectedCount", "ParCount", "Expiry", "MassKg", "VolumeL", "WattHours", "Cells", "PerItem", "MassKg"],
            wrong.Faults().Select(fault => fault.Field));
        Assert.Equal(["Serial"], new ItemLine("A", "thing", 2, 1) { Serial = "1" }.Faults().Select(fault => fault.Field));
        Assert.Empty(_lines.SelectMany(line => line.Faults()));
    }

    private static Gen<ItemTally[]> Tallies { get; } =
        (from item in Gen.Elements("UNIT", "PHONES", "TIPS", "PEN", "MUG")
         from count in Gen.Choose(0, 20)
         select new ItemTally(item, count)).ArrayOf();
}
