using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone;

/// <summary>The published rule that ends an ascending threshold search.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<StoppingRule>))]
public enum StoppingRule
{
    /// <summary>Lowest level with responses on at least half of the ascending presentations there, two at least: "2 of 3" (ASHA 2005, from memory).</summary>
    TwoOfThree,

    /// <summary>Three responses at one level within at most five ascents: the full form (ISO 8253-1:2010, 6.2.3).</summary>
    ThreeOfFive,

    /// <summary>Two responses at one level within at most three ascents: the short form (ISO 8253-1:2010, 6.2.3). Unlike <see cref="TwoOfThree"/> it counts ascents, and begins again when three of them have failed.</summary>
    TwoOfThreeAscents,
}
