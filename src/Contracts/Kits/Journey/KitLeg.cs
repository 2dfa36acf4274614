using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>Which way a parcel goes.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<KitLeg>))]
public enum KitLeg
{
    /// <summary>To the site.</summary>
    Out,

    /// <summary>Back to the base.</summary>
    Back,
}
