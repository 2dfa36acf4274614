using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Protocols in a line.</summary>
public static class ProtocolWords
{
    /// <summary>What it measures, and how.</summary>
    public static string Summary(TestProtocol protocol)
    {
        ArgumentNullException.ThrowIfNull(protocol);
        List<string> parts =
        [
            $"{protocol.AirHz.Count} frequencies by air",
            protocol.Method switch
            {
                ThresholdMethod.Bracketing => "bracketing",
                ThresholdMethod.Estimate => "estimate, a quick look",
                _ => FormWords.Rule(protocol.Rule),
            },
        ];
        if (protocol.BoneRoute is not null)
        {
            parts.Add($"{protocol.BoneHz.Count} by bone");
        }

        if (protocol.ExtendedHighHz.Count > 0)
        {
            parts.Add($"{protocol.ExtendedHighHz.Count} above 8000 Hz");
        }

        parts.Add(protocol.MaskingRules is null ? "no masking" : "masked where needed");
        return string.Join("; ", parts);
    }
}
