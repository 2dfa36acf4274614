using System.Text.Json.Serialization;

namespace TeleHearing.Audiology;

/// <summary>How well a tabulated number is known to agree with its standard.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ValueStatus>))]
public enum ValueStatus
{
    /// <summary>Confirmed against public transcriptions of the standard.</summary>
    Confirmed,

    /// <summary>From memory: plausible, and to be checked against the purchased standard before conformity is claimed.</summary>
    FromMemory,
}
