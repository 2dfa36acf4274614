using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone;

/// <summary>How the tone reaches the ear.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ConductionRoute>))]
public enum ConductionRoute
{
    /// <summary>Air conduction, from an earphone.</summary>
    Air,

    /// <summary>Bone conduction, vibrator on the mastoid behind the ear named.</summary>
    BoneMastoid,

    /// <summary>Bone conduction, vibrator on the forehead; the ear named is the one the result is meant for, which only masking of the other makes sure of.</summary>
    BoneForehead,
}
