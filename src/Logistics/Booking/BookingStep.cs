using System.Text.Json.Serialization;

namespace TeleHearing.Logistics.Booking;

/// <summary>One part of a booking, with why it takes the days it takes.</summary>
/// <param name="Stage">Which part.</param>
/// <param name="From">First day of it, in the dates of the end where it begins.</param>
/// <param name="To">Last day of it, in the dates of the end where it ends.</param>
/// <param name="WorkingDays">Working days asked for it.</param>
/// <param name="End">Whose calendar counts.</param>
/// <param name="Reason">A sentence for the list that explains the dates.</param>
public sealed record BookingStep(BookingStage Stage, DateOnly From, DateOnly To, int WorkingDays, BookingEnd End, string Reason);

/// <summary>The parts of a booking, in the order in which they happen.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<BookingStage>))]
public enum BookingStage
{
    /// <summary>On its way to the site.</summary>
    TransitOut,

    /// <summary>Unpacked, charged and tried at the site.</summary>
    Settle,

    /// <summary>In use, from the first session to the last.</summary>
    Session,

    /// <summary>Packed and waiting to be collected.</summary>
    PickUp,

    /// <summary>On its way back.</summary>
    TransitBack,

    /// <summary>Cleaned, inspected, restocked and checked at the clinic.</summary>
    Turnaround,
}

/// <summary>Whose calendar a part of a booking is counted in.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<BookingEnd>))]
public enum BookingEnd
{
    /// <summary>The clinic's.</summary>
    Clinic,

    /// <summary>The site's.</summary>
    Site,

    /// <summary>Days on which both work.</summary>
    Both,
}
