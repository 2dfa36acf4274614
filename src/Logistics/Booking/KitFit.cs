namespace TeleHearing.Logistics.Booking;

/// <summary>Whether a loan fits between the other loans of a kit, and before the kit may no longer be used.</summary>
/// <param name="Overlapping">Loans that have the kit on a day it is wanted, the earliest first.</param>
/// <param name="UsableUntil">Last day on which the kit may be used, when the loan would outlive it; absent when it would not, or when no such day was given.</param>
public sealed record KitFit(IReadOnlyList<KitInterval> Overlapping, DateOnly? UsableUntil)
{
    /// <summary>Whether the loan may be booked on this kit.</summary>
    public bool Fits => Overlapping.Count == 0 && UsableUntil is null;

    /// <summary>Looks at one kit.</summary>
    /// <param name="loanId">The loan that is wanted; an interval of the same loan is left out, so that a loan can be extended or moved.</param>
    /// <param name="booking">Its dates.</param>
    /// <param name="taken">Loans the kit has.</param>
    /// <param name="usableUntil">Last day on which the kit may be used, such as the last day of its calibration, decided elsewhere; absent when there is none.</param>
    /// <exception cref="ArgumentOutOfRangeException">A loan ends before it begins.</exception>
    public static KitFit Of(string loanId, KitBooking booking, IReadOnlyList<KitInterval> taken, DateOnly? usableUntil)
    {
        ArgumentNullException.ThrowIfNull(booking);
        ArgumentNullException.ThrowIfNull(taken);
        var wanted = KitInterval.Of(loanId, booking);
        wanted.ThrowIfFaulty();
        foreach (var one in taken)
        {
            one.ThrowIfFaulty();
        }

        var overlapping = taken.Where(one => one.LoanId != loanId && one.Overlaps(wanted)).OrderBy(one => one.From).ToList();
        return new KitFit(overlapping, booking.DueBack > usableUntil ? usableUntil : null);
    }

    /// <summary>Why it does not fit, a sentence each; empty when it does.</summary>
    public IReadOnlyList<string> Reasons() =>
    [
        .. Overlapping.Select(one => $"Loan {one.LoanId} has the kit from {BookingReasons.Day(one.From)} until it is free again on {BookingReasons.Day(one.Until)}."),
        .. UsableUntil is { } day ? [$"The kit may be used until {BookingReasons.Day(day)}, which is before it would be back."] : Array.Empty<string>(),
    ];
}
