using System.Text.Json.Serialization;

namespace TeleHearing.Audiology;

/// <summary>The ear a sound is meant for or a result belongs to.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Ear>))]
public enum Ear
{
    /// <summary>The right ear; drawn red, with a circle (ISO 8253-1; ASHA 1990).</summary>
    Right,

    /// <summary>The left ear; drawn blue, with a cross (ISO 8253-1; ASHA 1990).</summary>
    Left,
}
