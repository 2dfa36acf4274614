using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Noise;

/// <summary>Whether a room is quiet enough for a tone at a level.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<NoiseVerdict>))]
public enum NoiseVerdict
{
    /// <summary>Every band that bears on the tone is within its limit, and the microphone could have told otherwise.</summary>
    QuietEnough,

    /// <summary>A band is over its limit.</summary>
    TooLoud,

    /// <summary>The microphone's own noise lies over a limit, or is not known: this kit cannot tell.</summary>
    NotVerifiable,

    /// <summary>The criterion prints no limit for this tone.</summary>
    NoLimit,
}
