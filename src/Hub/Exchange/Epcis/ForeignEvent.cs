using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>An event of somebody else as it was read: what is needed of it, and the whole as it came.</summary>
/// <param name="Place">Place in its list, from 1.</param>
/// <param name="Id">Its id; made from its content when it has none.</param>
/// <param name="Time">When it happened.</param>
/// <param name="About">The things it names, the parent first.</param>
/// <param name="Status">What it says of a parcel; absent when it says nothing of one.</param>
/// <param name="Reason">Why the parcel stands as it does.</param>
/// <param name="Where">Where it happened, as it names the place; absent when it does not.</param>
/// <param name="Readings">Readings of a sensor.</param>
/// <param name="DeclaredWrong">Whether it declares the event of its id wrong: true for one that did not occur, false for one with wrong data.</param>
/// <param name="Json">The event as it came.</param>
internal sealed record ForeignEvent(
    int Place,
    string Id,
    DateTimeOffset Time,
    IReadOnlyList<string> About,
    CarrierStatus? Status,
    CarrierReason Reason,
    string? Where,
    ParcelReadings? Readings,
    bool? DeclaredWrong,
    string Json);
