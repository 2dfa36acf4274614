using System.Globalization;
using TeleHearing.Clinician.Web.Words;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Board;

/// <summary>The timeline as text: what a cell says, and the lines of the table beside the drawing. Pure.</summary>
public static class TimelineWords
{
    /// <summary>What a kit does on a day.</summary>
    public static string Cell(KitTimelineRow row, DateOnly from, DateOnly day, DateOnly today)
    {
        var parts = row.Spans.Where(span => span.Covers(day.DayNumber - from.DayNumber)).Select(span => Span(span, row)).ToList();
        var when = day.ToString("dddd d MMMM yyyy", CultureInfo.InvariantCulture) + (day == today ? ", today" : string.Empty);
        return $"{row.KitId}, {when}: {(parts.Count == 0 ? day <= today ? "on the shelf" : "nothing planned" : string.Join("; ", parts))}.";
    }

    /// <summary>What a stretch is, with its place or reason.</summary>
    public static string Span(KitSpan span, KitTimelineRow row) =>
        span.Place >= 0 && span.Place < row.Places.Count ? $"{KitStageWords.Name(span.Kind)}, {row.Places[span.Place].TrimEnd('.')}" : KitStageWords.Name(span.Kind);

    /// <summary>The days of a stretch.</summary>
    public static string Days(KitSpan span, DateOnly from)
    {
        var (first, last) = (from.AddDays(span.FirstDay), from.AddDays(span.FirstDay + span.Days - 1));
        return span.Days == 1 ? FormWords.Day(first) : $"{FormWords.Day(first)} to {FormWords.Day(last)}";
    }
}
