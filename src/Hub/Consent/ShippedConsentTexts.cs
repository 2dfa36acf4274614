using TeleHearing.Contracts;

namespace TeleHearing.Hub.Consent;

/// <summary>Texts that come with the tool, version 1 of each.</summary>
internal static class ShippedConsentTexts
{
    /// <summary>Each purpose in each language.</summary>
    public static IReadOnlyList<ConsentText> All { get; } = [.. EnglishConsentTexts.All, .. SpanishConsentTexts.All];
}
