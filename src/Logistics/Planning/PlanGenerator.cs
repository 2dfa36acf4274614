using System.Globalization;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Logistics.Planning;

/// <summary>Invents a fleet and the requests of a clinic. The same seed gives the same problem.</summary>
public static class PlanGenerator
{
    private static readonly IReadOnlySet<string> Plain = new HashSet<string>(StringComparer.Ordinal) { "air conduction", "bone conduction" };
    private static readonly IReadOnlySet<string> MiddleEar = new HashSet<string>(Plain, StringComparer.Ordinal) { "immittance" };
    private static readonly IReadOnlySet<string> Full = new HashSet<string>(MiddleEar, StringComparer.Ordinal) { "real-ear" };

    /// <summary>Urgencies of the invented clinic, the most urgent first (design).</summary>
    public static IReadOnlyList<UrgencyClass> Urgencies { get; } = [new("urgent", 14, 9), new("soon", 28, 3), new("routine", 60, 1)];

    /// <summary>Makes a problem.</summary>
    /// <param name="shape">How large and busy.</param>
    /// <param name="seed">Seed of all that is drawn.</param>
    public static PlanProblem Generate(PlanShape shape, int seed)
    {
        ArgumentNullException.ThrowIfNull(shape);
        var random = new Random(seed);
        var calendars = CalendarPair.Same(WorkCalendar.From(CalendarRules.MondayToFriday("clinic")));
        var until = shape.From.AddDays(shape.Days);
        var kits = Enumerable.Range(0, shape.Kits).Select(index => Kit(shape, random, index)).ToList();
        var requests = Enumerable.Range(0, shape.Requests).Select(index => Request(shape, random, calendars, index)).ToList();
        var mondays = Enumerable.Range(0, shape.Days).Select(shape.From.AddDays).Where(day => day.DayOfWeek == DayOfWeek.Monday).ToList();
        return new PlanProblem
        {
            From = shape.From,
            Until = until,
            Kits = kits,
            Requests = requests,
            Fixed = [.. kits.Where(_ => random.NextDouble() < 0.3).Select((kit, index) => new FixedLoan($"sent-{index + 1}", kit.Id, kit.AvailableFrom, kit.AvailableFrom.AddDays(random.Next(1, 9))))],
            Calibration = new CalibrationTerms(shape.CalibrationDays, shape.CertificateDays, shape.MostAwayAtOnce, mondays),
        };
    }

    private static PlanKit Kit(PlanShape shape, Random random, int index)
    {
        var place = (index + 0.5) / shape.Kits;
        var can = place < 0.5 ? Plain : place < 5.0 / 6 ? MiddleEar : Full;
        var certificateEnds = shape.From.AddDays(random.Next(10, Math.Max(11, shape.CertificateDays - shape.CalibrationDays)));
        var held = random.NextDouble() < shape.HeldShare;
        var heldFrom = shape.From.AddDays(random.Next(0, Math.Max(1, shape.Days)));
        return new PlanKit(string.Create(CultureInfo.InvariantCulture, $"kit-{index + 1:00}"), can, shape.From, certificateEnds)
        {
            Away = held ? [new KitAway(heldFrom.AddDays(9), heldFrom.AddDays(random.Next(15, 45)), AwayReason.Hold, "battery suspect")] : [],
        };
    }

    private static PlanRequest Request(PlanShape shape, Random random, CalendarPair calendars, int index)
    {
        var needs = random.NextDouble() switch { < 0.65 => Plain, < 0.92 => MiddleEar, _ => Full };
        var urgency = Urgencies[random.NextDouble() switch { < 0.1 => 0, < 0.4 => 1, _ => 2 }];
        var askedOn = shape.From.AddDays(random.Next(-7, Math.Max(1, shape.Days - 10)));
        var preferred = calendars.Site.OnOrAfter(askedOn.AddDays(random.Next(3, 9)));
        var transit = Enumerable.Range(0, 3).Min(_ => random.Next(1, shape.LongestTransitDays + 1));
        var days = new BookingDays(random.NextDouble() < 0.2 ? 1 : 0, transit, random.NextDouble() < 0.3 ? 1 : 0, transit, random.NextDouble() < 0.3 ? 1 : 0);
        var windows = new List<LoanWindow>();
        var spacing = Math.Max(1, urgency.LongestWaitDays / shape.MostWindows);
        var day = preferred;
        for (var count = random.Next(Math.Min(3, shape.MostWindows), shape.MostWindows + 1); count > 0; count--)
        {
            var booking = BookingPlanner.Backwards(day, day, days, calendars);
            windows.Add(new LoanWindow(day, booking.ShipBy, booking.BookableFrom));
            day = calendars.Site.OnOrAfter(day.AddDays(random.Next(1, (2 * spacing) + 1)));
        }

        return new PlanRequest(string.Create(CultureInfo.InvariantCulture, $"request-{index + 1:000}"), needs, urgency, askedOn, preferred, windows)
        {
            PromisedDay = random.NextDouble() < shape.PromisedShare ? windows[random.Next(windows.Count)].SessionDay : null,
        };
    }
}
