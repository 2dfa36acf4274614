using System.Globalization;

namespace TeleHearing.Clinician.Web.Kits.Board;

/// <summary>How much of the year is shown.</summary>
public enum TimelineZoom
{
    Month,
    Quarter,
    Year,
}

/// <summary>A mark on the axis of days.</summary>
/// <param name="Day">Day, counted from the first of the window.</param>
/// <param name="Label">What stands there.</param>
public sealed record AxisMark(int Day, string Label);

/// <summary>Which days the timeline shows, and where in the drawing they are. Pure.</summary>
/// <param name="Zoom">How much.</param>
/// <param name="From">First day.</param>
public sealed record TimelineWindow(TimelineZoom Zoom, DateOnly From)
{
    /// <summary>Width of the drawing, px: fits beside the names of the kits in a window of 1024 px (design).</summary>
    private const double Width = 850;

    /// <summary>Another number of days than that of the zoom; absent for it.</summary>
    public int? Length { get; init; }

    /// <summary>Number of days.</summary>
    public int Days => Length ?? Zoom switch
    {
        TimelineZoom.Month => 31,
        TimelineZoom.Quarter => 92,
        _ => 366,
    };

    /// <summary>Last day.</summary>
    public DateOnly To => From.AddDays(Days - 1);

    /// <summary>Width of a day, px.</summary>
    public double DayWidth => Width / Days;

    /// <summary>A window in which a day stands at the first third, where what is coming has more room than what was.</summary>
    public static TimelineWindow Around(DateOnly day, TimelineZoom zoom)
    {
        var window = new TimelineWindow(zoom, day);
        return window with { From = zoom == TimelineZoom.Year ? FirstOfMonth(day.AddDays(-window.Days / 3)) : day.AddDays(-window.Days / 3) };
    }

    /// <summary>The window before or after, a half of it further.</summary>
    public TimelineWindow Moved(int halves) => this with { From = From.AddDays(halves * Days / 2) };

    /// <summary>The same day at another zoom.</summary>
    public TimelineWindow Zoomed(TimelineZoom zoom, DateOnly around) => Around(around, zoom);

    /// <summary>Moved as little as possible so that a day is in it.</summary>
    public TimelineWindow Containing(DateOnly day) => day < From ? Moved(-1).Reaching(day) : day > To ? Moved(1).Reaching(day) : this;

    /// <summary>A day counted from the first.</summary>
    public int IndexOf(DateOnly day) => day.DayNumber - From.DayNumber;

    /// <summary>The day under a place in the drawing.</summary>
    public DateOnly DayAt(double x) => From.AddDays(Math.Clamp((int)Math.Floor(x / DayWidth), 0, Days - 1));

    /// <summary>Where a day begins, px.</summary>
    public double X(int day) => day * DayWidth;

    /// <summary>Weeks in a month, months in a quarter or a year.</summary>
    public IReadOnlyList<AxisMark> Marks() =>
    [
        .. from day in Enumerable.Range(0, Days)
           let date = From.AddDays(day)
           where Zoom == TimelineZoom.Month ? date.DayOfWeek == DayOfWeek.Monday : date.Day == 1
           select new AxisMark(day, date.ToString(Zoom == TimelineZoom.Month ? "d MMM" : Zoom == TimelineZoom.Quarter || date.Month == 1 ? "MMM yyyy" : "MMM", CultureInfo.InvariantCulture)),
    ];

    private TimelineWindow Reaching(DateOnly day) => day < From || day > To ? Around(day, Zoom) : this;

    private static DateOnly FirstOfMonth(DateOnly day) => new(day.Year, day.Month, 1);
}
