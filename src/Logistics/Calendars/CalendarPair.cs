namespace TeleHearing.Logistics.Calendars;

/// <summary>The calendars of both ends of a loan: where the kit lives, and where it is used.</summary>
public sealed class CalendarPair
{
    private CalendarPair(WorkCalendar clinic, WorkCalendar site, WorkCalendar both) => (Clinic, Site, Both) = (clinic, site, both);

    /// <summary>The end the kit is sent from and comes back to.</summary>
    public WorkCalendar Clinic { get; }

    /// <summary>The end where it is used.</summary>
    public WorkCalendar Site { get; }

    /// <summary>Days on which both ends work. A day in transit counts only then: a parcel is held up by a holiday at either end (design, the cautious reading).</summary>
    public WorkCalendar Both { get; }

    /// <summary>Pairs two calendars.</summary>
    /// <exception cref="ArgumentException">The two have no working weekday in common, so that nothing would ever arrive.</exception>
    public static CalendarPair Of(WorkCalendar clinic, WorkCalendar site) =>
        WorkCalendar.Both(clinic, site) is { } both
            ? new CalendarPair(clinic, site, both)
            : throw new ArgumentException($"\"{clinic.Name}\" and \"{site.Name}\" have no working weekday in common: nothing sent would ever arrive. Look at the free weekdays of both.", nameof(site));

    /// <summary>The same calendar at both ends.</summary>
    public static CalendarPair Same(WorkCalendar calendar) => Of(calendar, calendar);
}
