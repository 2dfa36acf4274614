using System.Globalization;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Booking;

public sealed class BookingPlannerTests
{
    private static readonly BookingDays _worked = new(SettleDays: 1, TransitOutDays: 3, PickUpDays: 1, TransitBackDays: 3, TurnaroundDays: 2);
    private static readonly CalendarPair _plain = CalendarPair.Of(Plain, WorkCalendar.From(CalendarRules.MondayToFriday("site")));

    /// <summary>Worked case of the practice reference, section 7 (example input).</summary>
    [Fact]
    public void TheWorkedCaseHasThePublishedDates()
    {
        var booking = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), _worked, _plain);

        Assert.Equal(On("2026-03-11"), booking.ShipBy);
        Assert.Equal(On("2026-03-16"), booking.Arrives);
        Assert.Equal(On("2026-03-17"), booking.ReadyAtSite);
        Assert.Equal(On("2026-03-19"), booking.PickedUp);
        Assert.Equal(On("2026-03-24"), booking.DueBack);
        Assert.Equal(On("2026-03-27"), booking.BookableFrom);
        Assert.Equal(16, booking.CycleDays);
    }

    [Fact]
    public void EveryPartSaysWhyInOrder()
    {
        var booking = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), _worked, _plain);

        Assert.Equal(Enum.GetValues<BookingStage>(), booking.Steps.Select(step => step.Stage));
        Assert.Equal(
            "Sent by Wed 11 Mar 2026 to arrive on Mon 16 Mar 2026: 3 working days in transit, counted on days both ends work. Not counted: Sat 14 Mar 2026, Sun 15 Mar 2026.",
            booking.Steps[0].Reason);
        Assert.Equal("Settled by the end of Tue 17 Mar 2026: 1 working day of the site for unpacking, charging and a trial, before the session on Wed 18 Mar 2026.", booking.Steps[1].Reason);
        Assert.Equal("May be sent again from Fri 27 Mar 2026: 2 working days of the clinic for cleaning, inspection, restock and function check.", booking.Steps[5].Reason);
        Assert.Equal([BookingEnd.Both, BookingEnd.Site, BookingEnd.Site, BookingEnd.Site, BookingEnd.Both, BookingEnd.Clinic], booking.Steps.Select(step => step.End));
    }

    /// <summary>
    /// Sent from the east of North America before its clocks change (2026-03-08), used in the middle of Europe the night after they change there (2026-03-29),
    /// at half past midnight, which is still Sunday evening at the clinic. Dates counted by hand on a calendar of 2026, with Easter free at both ends.
    /// </summary>
    [Fact]
    public void ALoanAcrossBothClockChangesKeepsItsDates()
    {
        var toronto = TimeZoneInfo.FindSystemTimeZoneById("America/Toronto");
        var berlin = TimeZoneInfo.FindSystemTimeZoneById("Europe/Berlin");
        var session = SessionMoment.At(DateTimeOffset.Parse("2026-03-29T22:30:00Z", CultureInfo.InvariantCulture), berlin, toronto);
        var ends = CalendarPair.Of(With("clinic", ("2026-04-03", "Good Friday")), With("site", ("2026-04-03", "Good Friday"), ("2026-04-06", "Easter Monday")));

        var booking = BookingPlanner.Backwards(session, new BookingDays(1, 15, 1, 15, 2), ends);

        Assert.Equal(On("2026-03-29"), session.ClinicDay);
        Assert.Equal(On("2026-03-30"), booking.Session);
        Assert.Equal(On("2026-03-05"), booking.ShipBy);
        Assert.Equal(On("2026-03-26"), booking.Arrives);
        Assert.Equal(On("2026-03-27"), booking.ReadyAtSite);
        Assert.Equal(On("2026-03-31"), booking.PickedUp);
        Assert.Equal(On("2026-04-23"), booking.DueBack);
        Assert.Equal(On("2026-04-28"), booking.BookableFrom);
        Assert.Equal(54, booking.CycleDays);
        Assert.Contains("Fri 3 Apr 2026 (Good Friday)", booking.Steps[4].Reason, StringComparison.Ordinal);
        Assert.Contains("and 2 more", booking.Steps[4].Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void AHolidayMovesOnlyThePartsOfItsEnd()
    {
        // The clinic is shut on the Wednesday of the turnaround; the site on the Thursday of the collection, and so on a day of transit.
        var clinic = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), _worked, CalendarPair.Of(With("clinic", ("2026-03-25", "stock-taking")), Plain));
        var site = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), _worked, CalendarPair.Of(Plain, With("site", ("2026-03-19", "feast"))));
        var onTheWay = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), _worked, CalendarPair.Of(Plain, With("site", ("2026-03-13", "feast"))));

        Assert.Equal((On("2026-03-24"), On("2026-03-30")), (clinic.DueBack, clinic.BookableFrom));
        Assert.Equal((On("2026-03-11"), On("2026-03-20"), On("2026-03-25")), (site.ShipBy, site.PickedUp, site.DueBack));
        Assert.Equal(On("2026-03-10"), onTheWay.ShipBy);
        Assert.Contains("Thu 19 Mar 2026 (feast)", site.Steps[3].Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void ASessionAtTheWeekendIsServedFromTheFridayAndCollectedOnTheMonday()
    {
        var booking = BookingPlanner.Backwards(On("2026-03-21"), On("2026-03-21"), new BookingDays(0, 1, 0, 1, 0), _plain);

        Assert.Equal((On("2026-03-19"), On("2026-03-20"), On("2026-03-23"), On("2026-03-24"), On("2026-03-25")), (booking.ShipBy, booking.Arrives, booking.PickedUp, booking.DueBack, booking.BookableFrom));
        Assert.Contains("no working day of the site", booking.Steps[3].Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void AKitCarriedByHandArrivesTheDayItLeaves()
    {
        var booking = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), new BookingDays(0, 0, 0, 0, 0), _plain);

        Assert.Equal((On("2026-03-17"), On("2026-03-17"), On("2026-03-18"), On("2026-03-18"), On("2026-03-19")), (booking.ShipBy, booking.Arrives, booking.PickedUp, booking.DueBack, booking.BookableFrom));
    }

    [Fact]
    public void KeepingAKitLongerMovesOnlyTheWayBack()
    {
        var booking = BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), _worked, _plain);

        var longer = BookingPlanner.Extend(booking, On("2026-03-25"), _worked, _plain);

        Assert.Equal((booking.ShipBy, booking.Arrives, booking.ReadyAtSite, booking.Session), (longer.ShipBy, longer.Arrives, longer.ReadyAtSite, longer.Session));
        Assert.Equal((On("2026-03-25"), On("2026-03-26"), On("2026-03-31"), On("2026-04-03")), (longer.LastUse, longer.PickedUp, longer.DueBack, longer.BookableFrom));
        Assert.Contains("from Wed 18 Mar 2026 to Wed 25 Mar 2026", longer.Steps[2].Reason, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => BookingPlanner.Extend(booking, On("2026-03-17"), _worked, _plain));
    }

    [Fact]
    public void TheEarliestSessionOfTodayIsTheOneOfTheWorkedCase()
    {
        Assert.Equal(On("2026-03-18"), BookingPlanner.Earliest(On("2026-03-11"), _worked, _plain).Session);
        Assert.Equal(On("2026-03-19"), BookingPlanner.Earliest(On("2026-03-12"), _worked, _plain).Session);
        Assert.Equal(On("2026-03-23"), BookingPlanner.Earliest(On("2026-03-14"), _worked, _plain).Session); // from a Saturday
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(61)]
    [InlineData(int.MaxValue)]
    [InlineData(int.MinValue)]
    public void LengthsThatCannotBeRightAreRefusedAllAtOnce(int days)
    {
        var wrong = new BookingDays(days, 1, days, 1, 1);

        Assert.Equal(["SettleDays", "PickUpDays"], wrong.Faults().Select(fault => fault.Field));
        var thrown = Assert.Throws<ArgumentOutOfRangeException>(() => BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-18"), wrong, _plain));
        Assert.Contains("Give 0 to 60", thrown.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void DaysThatCannotBeRightAreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => BookingPlanner.Backwards(default, default, _worked, _plain));
        Assert.Throws<ArgumentOutOfRangeException>(() => BookingPlanner.Backwards(DateOnly.MaxValue, DateOnly.MaxValue, _worked, _plain));
        Assert.Throws<ArgumentOutOfRangeException>(() => BookingPlanner.Backwards(On("2026-03-18"), On("2026-03-17"), _worked, _plain));
        Assert.Throws<ArgumentOutOfRangeException>(() => BookingPlanner.Earliest(default, _worked, _plain));
    }
}
