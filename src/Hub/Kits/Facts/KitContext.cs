using TeleHearing.Contracts;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>What a decision about a kit needs to know besides its facts.</summary>
/// <param name="Now">Hub time.</param>
/// <param name="Today">The day at the clinic.</param>
/// <param name="Others">States of the clinic's kits as last read, this one among them.</param>
/// <param name="Sessions">Sessions the kit is or was planned for.</param>
internal sealed record KitContext(DateTimeOffset Now, DateOnly Today, IReadOnlyList<KitState> Others, IReadOnlyList<KitSessionUse> Sessions)
{
    /// <summary>Zone of the clinic's days.</summary>
    public TimeZoneInfo Zone { get; init; } = TimeZoneInfo.Utc;

    /// <summary>What readings of parcels are held against.</summary>
    public ParcelLimits Limits { get; init; } = ParcelLimits.Operating;

    /// <summary>Whether who asks answers for the kits (<see cref="Rights.RightsTable.CaresForKits"/>); what a kit or a session says does not.</summary>
    public bool CaresForKits { get; init; }

    /// <summary>Every version of the text about the loan, while a signature asks by it.</summary>
    public IReadOnlyList<ConsentText> ConsentTexts { get; init; } = [];

    /// <summary>The clinic's day of a moment, as <see cref="Today"/> counts them.</summary>
    public DateOnly Day(DateTimeOffset at) => DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, Zone).DateTime);
}
