namespace TeleHearing.Logistics.Booking;

/// <summary>Every date of one loan of a kit. The kit is taken from <see cref="ShipBy"/> on and free again on <see cref="BookableFrom"/>.</summary>
/// <param name="ShipBy">Last day on which it may be handed over to be in time, clinic's date.</param>
/// <param name="Arrives">Day it arrives when sent on that day, site's date.</param>
/// <param name="ReadyAtSite">Day at whose end it is settled; the session is later.</param>
/// <param name="Session">Day of the first session, site's date.</param>
/// <param name="LastUse">Day of the last session, site's date; the first again when there is one.</param>
/// <param name="PickedUp">Day it is collected, site's date.</param>
/// <param name="DueBack">Day it arrives back, clinic's date.</param>
/// <param name="BookableFrom">First day on which it may be sent again, clinic's date.</param>
/// <param name="Steps">Why, part by part, in the order in which they happen.</param>
public sealed record KitBooking(
    DateOnly ShipBy,
    DateOnly Arrives,
    DateOnly ReadyAtSite,
    DateOnly Session,
    DateOnly LastUse,
    DateOnly PickedUp,
    DateOnly DueBack,
    DateOnly BookableFrom,
    IReadOnlyList<BookingStep> Steps)
{
    /// <summary>Days from being sent to being free to be sent again, all days counted.</summary>
    public int CycleDays => BookableFrom.DayNumber - ShipBy.DayNumber;
}
