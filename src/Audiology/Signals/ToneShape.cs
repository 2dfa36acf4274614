using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Signals;

/// <summary>Whether a pure tone is held or pulsed.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ToneShape>))]
public enum ToneShape
{
    /// <summary>One unbroken tone with a rise and a fall.</summary>
    Steady,

    /// <summary>On 225 ms, off 225 ms (IEC 60645-1, from memory), repeated.</summary>
    Pulsed,
}
