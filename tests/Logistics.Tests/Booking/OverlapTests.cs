using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Booking;

public sealed class OverlapTests
{
    private static readonly KitBooking _wanted = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), new BookingDays(1, 3, 1, 3, 2), CalendarPair.Same(Plain));

    [Fact]
    public void OneLoanMayBeginOnTheDayTheOtherFreesTheKit()
    {
        KitInterval[] taken = [new("before", On("2026-03-01"), On("2026-03-11")), new("after", On("2026-03-27"), On("2026-04-10"))];

        var fit = KitFit.Of("new", _wanted, taken, null);

        Assert.True(fit.Fits);
        Assert.Empty(fit.Reasons());
    }

    [Fact]
    public void OneDayOfOverlapIsNamedWithItsLoan()
    {
        KitInterval[] taken = [new("after", On("2026-03-26"), On("2026-04-10")), new("before", On("2026-03-01"), On("2026-03-12"))];

        var fit = KitFit.Of("new", _wanted, taken, null);

        Assert.False(fit.Fits);
        Assert.Equal(["before", "after"], fit.Overlapping.Select(one => one.LoanId));
        Assert.Equal("Loan before has the kit from Sun 1 Mar 2026 until it is free again on Thu 12 Mar 2026.", fit.Reasons()[0]);
    }

    [Fact]
    public void ALoanThatIsMovedIsNotInItsOwnWay() =>
        Assert.True(KitFit.Of("same", _wanted, [new("same", On("2026-03-10"), On("2026-03-20"))], null).Fits);

    [Theory]
    [InlineData("2026-03-24", true)] // back on the last day on which it may be used
    [InlineData("2026-03-23", false)]
    public void ALoanMustBeBackWhileTheKitMayBeUsed(string usableUntil, bool fits)
    {
        var fit = KitFit.Of("new", _wanted, [], On(usableUntil));

        Assert.Equal(fits, fit.Fits);
        Assert.Equal(fits ? 0 : 1, fit.Reasons().Count);
    }

    [Fact]
    public void AnExtensionThatRunsIntoTheNextLoanDoesNotFit()
    {
        var longer = BookingPlanner.Extend(_wanted, On("2026-03-20"), new BookingDays(1, 3, 1, 3, 2), CalendarPair.Same(Plain));

        Assert.Equal(["next"], KitFit.Of("this", longer, [new("next", On("2026-03-30"), On("2026-04-15"))], null).Overlapping.Select(one => one.LoanId));
    }

    [Fact]
    public void TheSmallestFleetIsTheGreatestOverlap()
    {
        KitInterval[] loans =
        [
            new("a", On("2026-03-01"), On("2026-03-10")), new("b", On("2026-03-05"), On("2026-03-15")), new("c", On("2026-03-10"), On("2026-03-20")),
            new("d", On("2026-03-12"), On("2026-03-13")), new("e", On("2026-03-13"), On("2026-03-14")),
        ];

        var overlap = FleetOverlap.Greatest(loans);

        Assert.Equal((3, On("2026-03-12")), (overlap.Kits, overlap.FirstDay));
        Assert.Equal(["b", "c", "d"], overlap.LoanIds);
        Assert.Equal((0, null), (FleetOverlap.Greatest([]).Kits, FleetOverlap.Greatest([]).FirstDay));
    }

    [Fact]
    public void ALoanThatEndsBeforeItBeginsIsRefused()
    {
        KitInterval[] wrong = [new("a", On("2026-03-02"), On("2026-03-02"))];

        Assert.Throws<ArgumentOutOfRangeException>(() => FleetOverlap.Greatest(wrong));
        Assert.Throws<ArgumentOutOfRangeException>(() => KitFit.Of("b", _wanted, wrong, null));
    }

    [Fact]
    public void SoManyKitsServeAllLoansAndOneFewerDoesNot() =>
        Prop.ForAll(Loans.ToArbitrary(), loans =>
        {
            var kits = FleetOverlap.Greatest(loans).Kits;
            return kits == LargestCrowd(loans) && SharedOut(loans) == kits;
        }).QuickCheckThrowOnFailure();

    private static Gen<KitInterval[]> Loans { get; } =
        (from first in RandomDays.Days
         from length in Gen.Choose(1, 40)
         select new KitInterval($"{first:yyyy-MM-dd} {length}", first, first.AddDays(length))).ArrayOf();

    /// <summary>Loans on the fullest day, found by looking at every day.</summary>
    private static int LargestCrowd(KitInterval[] loans) =>
        Enumerable.Range(0, 760).Select(On("2026-01-01").AddDays).Max(day => loans.Count(loan => loan.From <= day && day < loan.Until));

    /// <summary>Kits used when each loan, in order of its first day, takes any kit that is free.</summary>
    private static int SharedOut(KitInterval[] loans)
    {
        var freeFrom = new List<DateOnly>();
        foreach (var loan in loans.OrderBy(loan => loan.From))
        {
            var kit = freeFrom.FindIndex(day => day <= loan.From);
            if (kit < 0)
            {
                freeFrom.Add(loan.Until);
            }
            else
            {
                freeFrom[kit] = loan.Until;
            }
        }

        return freeFrom.Count;
    }
}
