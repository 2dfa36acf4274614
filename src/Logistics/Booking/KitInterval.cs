namespace TeleHearing.Logistics.Booking;

/// <summary>Days on which a loan has a kit: from the day it is sent, to the day before it is free again.</summary>
/// <param name="LoanId">Which loan.</param>
/// <param name="From">First day.</param>
/// <param name="Until">First day on which the kit is free; not counted, so that one loan may begin on the day on which another ends.</param>
public sealed record KitInterval(string LoanId, DateOnly From, DateOnly Until)
{
    /// <summary>The days of a booking.</summary>
    public static KitInterval Of(string loanId, KitBooking booking)
    {
        ArgumentNullException.ThrowIfNull(booking);
        return new KitInterval(loanId, booking.ShipBy, booking.BookableFrom);
    }

    /// <summary>Whether two loans want the kit on the same day.</summary>
    public bool Overlaps(KitInterval other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return From < other.Until && other.From < Until;
    }

    internal void ThrowIfFaulty()
    {
        if (Until <= From)
        {
            throw new ArgumentOutOfRangeException(nameof(Until), $"The loan {LoanId} ends on {Until:yyyy-MM-dd}, not after it begins on {From:yyyy-MM-dd}.");
        }
    }
}
