using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.Noise;

/// <summary>The lowest hearing level the room lets a test prove at one frequency.</summary>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="LevelDbHl">Lowest provable level in dB HL, rounded up to the 5 dB step; never below -10 dB HL, the lowest level a kit presents.</param>
/// <param name="Verifiable">False when the microphone's own noise, not the room, sets the bound: the room may be quieter, but this kit cannot show it.</param>
/// <param name="LimitingBandHz">The band that set the bound, nominal mid-band frequency in Hz.</param>
public sealed record LowestProvableLevel(int FrequencyHz, double LevelDbHl, bool Verifiable, double LimitingBandHz)
{
    /// <summary>Whether every published limit behind the bound was confirmed, or one of them is from memory.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public ValueStatus LimitStatus { get; init; }
}
