using System.Globalization;
using TeleHearing.Logistics.Calendars;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Calendars;

/// <summary>Dates of instants near midnight and near a change of the clocks: 2026-03-08 in North America, 2026-03-29 in Europe.</summary>
public sealed class SessionMomentTests
{
    private static readonly TimeZoneInfo _toronto = TimeZoneInfo.FindSystemTimeZoneById("America/Toronto");
    private static readonly TimeZoneInfo _vancouver = TimeZoneInfo.FindSystemTimeZoneById("America/Vancouver");
    private static readonly TimeZoneInfo _berlin = TimeZoneInfo.FindSystemTimeZoneById("Europe/Berlin");

    [Theory]
    [InlineData("2026-03-08T04:59:00Z", "2026-03-07")] // 23:59, UTC - 5
    [InlineData("2026-03-08T05:00:00Z", "2026-03-08")]
    [InlineData("2026-03-09T03:59:00Z", "2026-03-08")] // 23:59, UTC - 4
    [InlineData("2026-03-09T04:30:00Z", "2026-03-09")] // with the hour of the day before it would be the 8th
    public void TheDateInTheEastOfNorthAmericaFollowsItsClocks(string instant, string expected) =>
        Assert.Equal(On(expected), At(instant, _toronto, _toronto).SiteDay);

    [Theory]
    [InlineData("2026-03-28T22:59:00Z", "2026-03-28")] // 23:59, UTC + 1
    [InlineData("2026-03-28T23:00:00Z", "2026-03-29")]
    [InlineData("2026-03-29T21:59:00Z", "2026-03-29")] // 23:59, UTC + 2
    [InlineData("2026-03-29T22:30:00Z", "2026-03-30")] // with the hour of the day before it would be the 29th
    public void TheDateInTheMiddleOfEuropeFollowsItsClocks(string instant, string expected) =>
        Assert.Equal(On(expected), At(instant, _berlin, _berlin).SiteDay);

    [Fact]
    public void TheTwoEndsMayWriteDifferentDates()
    {
        var late = At("2026-03-08T06:30:00Z", _vancouver, _toronto);

        Assert.Equal((On("2026-03-07"), On("2026-03-08"), true), (late.SiteDay, late.ClinicDay, late.DatesDiffer));
        Assert.Equal(TimeSpan.FromHours(22.5), late.AtSite.TimeOfDay);
        Assert.False(At("2026-03-08T18:00:00Z", _vancouver, _toronto).DatesDiffer);
    }

    [Fact]
    public void BetweenTheTwoChangesTheEndsAreAnHourNearer()
    {
        // Six hours apart, but five from 2026-03-08 to 2026-03-29.
        Assert.Equal([6, 5, 6], new[] { "2026-03-06T12:00:00Z", "2026-03-20T12:00:00Z", "2026-03-30T12:00:00Z" }
            .Select(instant => At(instant, _berlin, _toronto)).Select(moment => (moment.AtSite.Offset - moment.AtClinic.Offset).Hours));
    }

    [Fact]
    public void AnHourOnTheWallMeansItsInstant()
    {
        var (before, _) = SessionMoment.AtSiteTime(Wall("2026-03-06 14:00"), _toronto, _berlin);
        var (after, _) = SessionMoment.AtSiteTime(Wall("2026-03-13 14:00"), _toronto, _berlin);

        Assert.Equal(DateTimeOffset.Parse("2026-03-06T19:00:00Z", CultureInfo.InvariantCulture), before!.Instant);
        Assert.Equal(DateTimeOffset.Parse("2026-03-13T18:00:00Z", CultureInfo.InvariantCulture), after!.Instant);
        Assert.Equal(14, after.AtSite.Hour);
    }

    [Fact]
    public void AnHourThatIsSkippedOrThereTwiceIsRefusedWithASentence()
    {
        var (skipped, skippedFault) = SessionMoment.AtSiteTime(Wall("2026-03-08 02:30"), _toronto, _berlin);
        var (twice, twiceFault) = SessionMoment.AtSiteTime(Wall("2026-10-25 02:30"), _berlin, _toronto);

        Assert.Null(skipped);
        Assert.Contains("put forward", skippedFault, StringComparison.Ordinal);
        Assert.Null(twice);
        Assert.Contains("happens twice", twiceFault, StringComparison.Ordinal);
    }

    [Fact]
    public void AnEmptyInstantIsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => SessionMoment.At(default, _toronto, _toronto));

    private static SessionMoment At(string instant, TimeZoneInfo site, TimeZoneInfo clinic) =>
        SessionMoment.At(DateTimeOffset.Parse(instant, CultureInfo.InvariantCulture), site, clinic);

    private static DateTime Wall(string time) => DateTime.ParseExact(time, "yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);
}
