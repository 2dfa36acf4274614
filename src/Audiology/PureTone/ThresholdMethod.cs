using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone;

/// <summary>The method that made a threshold.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ThresholdMethod>))]
public enum ThresholdMethod
{
    /// <summary>Ascending, down after a response and up after a miss (ISO 8253-1:2010, 6.2.3; ASHA 2005).</summary>
    Ascending,

    /// <summary>Bracketing, ascents and descents (ISO 8253-1:2010, 6.2.3).</summary>
    Bracketing,

    /// <summary>Bayesian estimate with a credible interval: the quick look.</summary>
    Estimate,
}
