using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Words of EPCIS 2.0 and the Core Business Vocabulary that are used here, and our own name spaces.</summary>
internal static class EpcisWords
{
    /// <summary>Context of EPCIS 2.0 (GS1).</summary>
    public const string Context = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld";

    /// <summary>Prefix and name space of our own words. A name under ".invalid" (RFC 2606) never leads anywhere, and belongs to nobody.</summary>
    public const string OwnPrefix = "kit";

    /// <inheritdoc cref="OwnPrefix"/>
    public const string OwnSpace = "https://telehearing.invalid/ns/kit/";

    /// <summary>Prefix and name space of the Universal Postal Union's event codes.</summary>
    public const string PostPrefix = "upu";

    /// <inheritdoc cref="PostPrefix"/>
    public const string PostSpace = "https://telehearing.invalid/ns/upu/";

    /// <summary>Type of transaction for a loan; the vocabulary has none.</summary>
    public const string Loan = OwnSpace + "loan";

    /// <summary>UPU codes of what a carrier says: practice reference, table of kit events, after UPU standard M40.</summary>
    public static string PostCode(CarrierStatus status) => status switch
    {
        CarrierStatus.HandedOver => "EMA",
        CarrierStatus.Departed => "EMC",
        CarrierStatus.UnderWay => "EMJ",
        CarrierStatus.Arrived => "EMD",
        CarrierStatus.DeliveryFailed => "EMH",
        CarrierStatus.Delivered => "EMI",
        _ => throw new ArgumentOutOfRangeException(nameof(status), status, "Not a status of a carrier."),
    };

    /// <summary>What a UPU code says; absent for codes that say nothing of the parcel's way. EMK is another one for being under way.</summary>
    public static CarrierStatus? Status(string? code) => code switch
    {
        "EMA" => CarrierStatus.HandedOver,
        "EMC" => CarrierStatus.Departed,
        "EMJ" or "EMK" => CarrierStatus.UnderWay,
        "EMD" => CarrierStatus.Arrived,
        "EMH" => CarrierStatus.DeliveryFailed,
        "EMI" => CarrierStatus.Delivered,
        _ => null,
    };

    /// <summary>What a business step of a carrier says; absent for steps that say nothing of the parcel's way.</summary>
    /// <param name="step">Short name.</param>
    /// <param name="disposition">Short name: a parcel that arrived and is no longer under way was delivered.</param>
    /// <param name="reason">Why: a parcel may be held because nobody took it, or at customs while it is under way. Held without a reason says neither.</param>
    public static CarrierStatus? Status(string? step, string? disposition, CarrierReason reason) => step switch
    {
        "shipping" or "accepting" or "collecting" => CarrierStatus.HandedOver,
        "departing" => CarrierStatus.Departed,
        "transporting" or "loading" or "unloading" or "sensor_reporting" => CarrierStatus.UnderWay,
        "arriving" => disposition is "unavailable" or "returned" ? CarrierStatus.Delivered : CarrierStatus.Arrived,
        "receiving" => CarrierStatus.Delivered,
        "holding" => reason switch
        {
            CarrierReason.NobodyThere or CarrierReason.AddressUnclear or CarrierReason.Refused => CarrierStatus.DeliveryFailed,
            CarrierReason.Customs or CarrierReason.Weather or CarrierReason.Held => CarrierStatus.UnderWay,
            _ => null,
        },
        _ => null,
    };

    /// <summary>What a carrier says, in words.</summary>
    public static string InWords(CarrierStatus status) => status switch
    {
        CarrierStatus.HandedOver => "taken over",
        CarrierStatus.Departed => "departed",
        CarrierStatus.UnderWay => "under way",
        CarrierStatus.Arrived => "arrived at a place of the carrier",
        CarrierStatus.DeliveryFailed => "delivery failed",
        _ => "delivered",
    };

    /// <summary>A word of the vocabulary as its short name, however it was written: short, as a URN, or as a Web URI. Other words come back as they are.</summary>
    public static string? Short(string? word)
    {
        if (word is null)
        {
            return null;
        }

        // urn:epcglobal:cbv:bizstep:shipping and https://ns.gs1.org/cbv/BizStep-shipping (CBV 2.0) are the same word.
        return word.StartsWith("urn:epcglobal:cbv:", StringComparison.Ordinal) ? word[(word.LastIndexOf(':') + 1)..]
            : word.StartsWith("https://ns.gs1.org/cbv/", StringComparison.Ordinal) || word.StartsWith("http://ns.gs1.org/cbv/", StringComparison.Ordinal) || word.StartsWith("cbv:", StringComparison.Ordinal) ? word[(word.LastIndexOf('-') + 1)..]
            : word;
    }
}
