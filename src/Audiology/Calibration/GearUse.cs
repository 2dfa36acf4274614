using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Calibration;

/// <summary>How gear is used, as its owner says. Decides how long a calibration holds.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<GearUse>))]
public enum GearUse
{
    /// <summary>It is carried or posted from place to place. Three months.</summary>
    Moved,

    /// <summary>It never leaves its room. Twelve months.</summary>
    Fixed,
}
