using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What a carrier says of a parcel. Carrier-neutral; why it is so stands apart from it (UNECE Recommendation 24 keeps status and reason as two fields).</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CarrierStatus>))]
public enum CarrierStatus
{
    /// <summary>Taken over from the sender (UPU EMA).</summary>
    HandedOver,

    /// <summary>Left a place of the carrier (UPU EMC).</summary>
    Departed,

    /// <summary>Under way (UPU EMJ).</summary>
    UnderWay,

    /// <summary>Reached a place of the carrier (UPU EMD).</summary>
    Arrived,

    /// <summary>Delivery was tried and failed (UPU EMH).</summary>
    DeliveryFailed,

    /// <summary>Handed over to the receiver (UPU EMI).</summary>
    Delivered,
}

/// <summary>Why a parcel stands as it does.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CarrierReason>))]
public enum CarrierReason
{
    None,
    NobodyThere,
    AddressUnclear,
    Refused,
    Weather,
    Customs,
    Damaged,
    Held,
    Other,
}

/// <summary>How an entry came about.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<EntryMeans>))]
public enum EntryMeans
{
    Typed,
    Scanned,
    Reported,
}

/// <summary>Readings of a parcel's sensor.</summary>
/// <param name="LowestC">Lowest temperature, °C.</param>
/// <param name="HighestC">Highest temperature, °C.</param>
/// <param name="HighestShockG">Largest shock, multiples of the standard acceleration of gravity, 9.80665 m/s².</param>
public sealed record ParcelReadings(double? LowestC, double? HighestC, double? HighestShockG);

/// <summary>A line of a count: how many of an item were there.</summary>
/// <param name="ItemId">Item of the kit.</param>
/// <param name="Count">How many.</param>
public sealed record ItemCount(string ItemId, int Count);
