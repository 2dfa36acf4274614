using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone;

/// <summary>The published rule that ends an ascending threshold search.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<StoppingRule>))]
public enum StoppingRule
{
    /// <summary>Lowest level with responses on at least half of the ascending presentations there, two at least: "2 of 3" (ASHA 2005, from memory; short form of ISO 8253-1:2010).</summary>
    TwoOfThree,

    /// <summary>Three responses at one level within at most five ascents (ISO 8253-1:2010, 6.2.3).</summary>
    ThreeOfFive,
}
