namespace TeleHearing.Logistics.Calendars;

/// <summary>A day on which an end does not work although its weekday would.</summary>
/// <param name="Day">The day, in the end's own dates.</param>
/// <param name="Name">What a person calls it; shown where a booking explains itself.</param>
public sealed record Holiday(DateOnly Day, string Name);
