using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Interpretation;

/// <summary>Sex, as ISO 7029 divides its population. Used for what is expected at an age and for nothing else; it may be unknown.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Sex>))]
public enum Sex
{
    /// <summary>Female.</summary>
    Female,

    /// <summary>Male.</summary>
    Male,
}
