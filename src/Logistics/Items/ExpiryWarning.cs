using System.Text.Json.Serialization;

namespace TeleHearing.Logistics.Items;

/// <summary>An item whose last day of use comes too early.</summary>
/// <param name="ItemId">Item.</param>
/// <param name="Lot">Its lot; absent without one.</param>
/// <param name="Expiry">Last day of use.</param>
/// <param name="Standing">How early.</param>
public sealed record ExpiryWarning(string ItemId, string? Lot, DateOnly Expiry, ExpiryStanding Standing)
{
    /// <summary>Items to be exchanged before a loan, the earliest first.</summary>
    /// <param name="lines">What belongs in the case.</param>
    /// <param name="day">Day asked about, such as the day of packing.</param>
    /// <param name="dueBack">Day the kit is due back; absent to ask about that day alone.</param>
    /// <exception cref="ArgumentOutOfRangeException">The kit would be back before that day.</exception>
    public static IReadOnlyList<ExpiryWarning> Of(IReadOnlyList<ItemLine> lines, DateOnly day, DateOnly? dueBack)
    {
        ArgumentNullException.ThrowIfNull(lines);
        if (dueBack < day)
        {
            throw new ArgumentOutOfRangeException(nameof(dueBack), dueBack, "The kit must be back on or after the day asked about.");
        }

        return
        [
            .. from line in lines
               let last = line.Expiry ?? DateOnly.MaxValue
               where last < day || last < dueBack
               orderby last, line.ItemId
               select new ExpiryWarning(line.ItemId, line.Lot, last, last < day ? ExpiryStanding.Over : ExpiryStanding.EndsOnLoan),
        ];
    }
}

/// <summary>How early an item's last day of use comes.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ExpiryStanding>))]
public enum ExpiryStanding
{
    /// <summary>Before the kit is due back.</summary>
    EndsOnLoan,

    /// <summary>Before the day asked about: it may not be used any more.</summary>
    Over,
}
