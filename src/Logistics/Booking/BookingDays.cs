namespace TeleHearing.Logistics.Booking;

/// <summary>How long each part of a loan takes, in working days of the end where it happens.</summary>
/// <param name="SettleDays">Whole days between arrival and session at the site: unpacking, charging, a trial call. None means the kit arrives on the working day before.</param>
/// <param name="TransitOutDays">Days from sending to arrival; 1 is the next working day, none the same day, by hand.</param>
/// <param name="PickUpDays">Days from the last session to collection at the site; none is the same day.</param>
/// <param name="TransitBackDays">Days from collection to arrival at the clinic.</param>
/// <param name="TurnaroundDays">Whole days at the clinic between arrival and being sent again: cleaning, inspection, restock, function check.</param>
public sealed record BookingDays(int SettleDays, int TransitOutDays, int PickUpDays, int TransitBackDays, int TurnaroundDays)
{
    /// <summary>Most days of one part (design): three months of working days; more is a slip of the hand.</summary>
    public const int MostDays = 60;

    /// <summary>All that keeps these from being used, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = new List<LogisticsFault>();
        Check(nameof(SettleDays), SettleDays);
        Check(nameof(TransitOutDays), TransitOutDays);
        Check(nameof(PickUpDays), PickUpDays);
        Check(nameof(TransitBackDays), TransitBackDays);
        Check(nameof(TurnaroundDays), TurnaroundDays);
        return faults;

        void Check(string field, int days)
        {
            if (days is < 0 or > MostDays)
            {
                faults.Add(new(field, $"{days} working days cannot be right. Give 0 to {MostDays}."));
            }
        }
    }

    internal void ThrowIfFaulty()
    {
        var faults = Faults();
        if (faults.Count > 0)
        {
            throw new ArgumentOutOfRangeException(faults[0].Field, string.Join(" ", faults));
        }
    }
}
