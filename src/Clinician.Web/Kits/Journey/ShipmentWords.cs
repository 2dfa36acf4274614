namespace TeleHearing.Clinician.Web.Kits.Journey;

/// <summary>Words about what happens in a loan.</summary>
public static class ShipmentWords
{
    /// <summary>A step of a loan by its stable name; one this console does not know is shown by that name.</summary>
    public static string Step(string name) => name switch
    {
        "reserved" => "Promised",
        "extended" => "Extended",
        "paper-signed" => "Loan paper signed",
        "consent-taken-back" => "Consent to the loan taken back",
        "packed" => "Packed",
        "taken-out" => "Taken out of the parcel again",
        "staged" => "Labelled, waits for the carrier",
        "sent-out" => "Handed to the carrier",
        "delivered" => "Delivered",
        "checked-in" => "Opened and counted at the site",
        "in-use" => "In a session",
        "set-down" => "Session over",
        "packed-up" => "Packed at the site",
        "sent-back" => "Handed to the carrier for its way back",
        "received" => "Back",
        "missing" => "Parcel missing",
        "found" => "Found",
        "called-off" => "Called off",
        "lost" => "Lost",
        "stolen" => "Stolen",
        _ => name,
    };

    /// <summary>Where a carrier said that something happened. A partner's events name places by ids, which say nothing to a reader.</summary>
    /// <returns>Words for it, and the id to be shown small beside them; absent when a person typed the words.</returns>
    public static (string Words, string? Id) Where(string place) =>
        place.StartsWith("urn:", StringComparison.OrdinalIgnoreCase) ? ("a place outside the clinic", place)
        : Uri.TryCreate(place, UriKind.Absolute, out var address) && address.Scheme is "http" or "https" ? (Uri.UnescapeDataString(place.TrimEnd('/').Split('/')[^1]), place)
        : (place, null);

    /// <summary>How a loan ended.</summary>
    public static string Ended(string ended) => ended switch
    {
        "received" => "back",
        "called-off" => "called off",
        _ => ended,
    };
}
