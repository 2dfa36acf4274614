using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Logistics.Tests.Booking;

/// <summary>Backwards booking held against a walk forwards, day by day, that shares nothing with it.</summary>
public sealed class BookingPropertyTests
{
    [Fact]
    public void SentOnThatDayItIsReadyInTimeAndOnTheNextItWouldNotBe() => ForAll((session, days, ends) =>
    {
        var booking = BookingPlanner.Backwards(session, session, days, ends);
        var next = Walk(booking.ShipBy.AddDays(1), ends.Clinic.IsWorkingDay, 0);

        return ends.Clinic.IsWorkingDay(booking.ShipBy)
            && WalkOut(booking.ShipBy, days, ends) == (booking.Arrives, booking.ReadyAtSite)
            && booking.ReadyAtSite < session
            && WalkOut(next, days, ends).Ready >= session;
    });

    [Fact]
    public void TheWayBackIsTheWalkForwards() => ForAll((session, days, ends) =>
    {
        var booking = BookingPlanner.Backwards(session, session, days, ends);
        var pickedUp = Walk(Count(session, ends.Site.IsWorkingDay, days.PickUpDays), ends.Site.IsWorkingDay, 0);
        var back = Walk(Count(pickedUp, day => ends.Clinic.IsWorkingDay(day) && ends.Site.IsWorkingDay(day), days.TransitBackDays), ends.Clinic.IsWorkingDay, 0);
        var bookable = Count(back, ends.Clinic.IsWorkingDay, days.TurnaroundDays + 1);

        return (pickedUp, back, bookable) == (booking.PickedUp, booking.DueBack, booking.BookableFrom);
    });

    [Fact]
    public void ALaterSessionNeverShipsEarlierNorFreesTheKitEarlier() => ForAll((session, days, ends) =>
    {
        var (one, two) = (BookingPlanner.Backwards(session, session, days, ends), BookingPlanner.Backwards(session.AddDays(1), session.AddDays(1), days, ends));

        return one.ShipBy <= two.ShipBy && one.Arrives <= two.Arrives && one.PickedUp <= two.PickedUp && one.DueBack <= two.DueBack && one.BookableFrom <= two.BookableFrom;
    });

    [Fact]
    public void ADayMoreOfAnyPartNeverMakesTheCycleShorter() => ForAll((session, days, ends) =>
    {
        var cycle = BookingPlanner.Backwards(session, session, days, ends).CycleDays;
        BookingDays[] longer =
        [
            days with { SettleDays = days.SettleDays + 1 }, days with { TransitOutDays = days.TransitOutDays + 1 }, days with { PickUpDays = days.PickUpDays + 1 },
            days with { TransitBackDays = days.TransitBackDays + 1 }, days with { TurnaroundDays = days.TurnaroundDays + 1 },
        ];

        return longer.All(one => BookingPlanner.Backwards(session, session, one, ends).CycleDays >= cycle);
    });

    [Fact]
    public void TheDatesComeInTheirOrderAndTheStepsMeet() => ForAll((session, days, ends) =>
    {
        var b = BookingPlanner.Backwards(session, session.AddDays(3), days, ends);

        return b.ShipBy <= b.Arrives && b.Arrives <= b.ReadyAtSite && b.ReadyAtSite < b.Session && b.Session < b.LastUse && b.LastUse <= b.PickedUp && b.PickedUp <= b.DueBack && b.DueBack < b.BookableFrom
            && b.Steps[0].From == b.ShipBy && b.Steps[^1].To == b.BookableFrom
            && b.Steps.All(step => step.Reason.EndsWith('.') && step.From <= step.To);
    });

    [Fact]
    public void TheEarliestBookingIsSentInTimeAndNoneBeforeItCouldBe() => ForAll((today, days, ends) =>
    {
        var earliest = BookingPlanner.Earliest(today, days, ends);
        var before = ends.Site.PreviousWorkingDay(earliest.Session);

        return earliest.ShipBy >= today && BookingPlanner.Backwards(before, before, days, ends).ShipBy < today;
    });

    private static void ForAll(Func<DateOnly, BookingDays, CalendarPair, bool> holds) =>
        Prop.ForAll(RandomDays.Days.ToArbitrary(), RandomDays.Lengths.ToArbitrary(), RandomDays.Pairs.ToArbitrary(), holds).Check(Config.QuickThrowOnFailure.WithMaxTest(400));

    private static (DateOnly Arrives, DateOnly Ready) WalkOut(DateOnly ship, BookingDays days, CalendarPair ends)
    {
        var moved = Count(ship, day => ends.Clinic.IsWorkingDay(day) && ends.Site.IsWorkingDay(day), days.TransitOutDays);
        var arrives = Walk(moved, ends.Site.IsWorkingDay, 0);
        return (arrives, Count(arrives, ends.Site.IsWorkingDay, days.SettleDays));
    }

    private static DateOnly Count(DateOnly day, Func<DateOnly, bool> counts, int count)
    {
        while (count > 0)
        {
            day = day.AddDays(1);
            if (counts(day))
            {
                count--;
            }
        }

        return day;
    }

    private static DateOnly Walk(DateOnly day, Func<DateOnly, bool> stops, int from)
    {
        for (day = day.AddDays(from); !stops(day); day = day.AddDays(1))
        {
        }

        return day;
    }
}
