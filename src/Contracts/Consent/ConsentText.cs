using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json;

namespace TeleHearing.Contracts;

/// <summary>What a person reads before they answer for one purpose. A version is kept once and never changed.</summary>
/// <param name="Purpose">Purpose.</param>
/// <param name="Language">Language, a tag of BCP 47 such as "en".</param>
/// <param name="Version">Version, from 1.</param>
/// <param name="Title">The question in a line.</param>
/// <param name="Body">What it means, in plain words; an empty line parts paragraphs.</param>
/// <param name="Agree">Words on the button that agrees.</param>
/// <param name="Decline">Words on the button that does not.</param>
/// <param name="TakeBack">Words on the button that takes it back later.</param>
public sealed record ConsentText(ConsentPurpose Purpose, string Language, int Version, string Title, string Body, string Agree, string Decline, string TakeBack)
{
    /// <summary>The text as an entry of the ledger names it.</summary>
    public ConsentTextShown Shown() => new(Version.ToString(CultureInfo.InvariantCulture), Language, Convert.ToHexStringLower(SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(this, Protocol.Json))));
}

/// <summary>A text as the clinic keeps it.</summary>
/// <param name="Text">The text.</param>
/// <param name="KeptAt">When this version was kept.</param>
/// <param name="KeptBy">By whom; absent for those that came with the tool.</param>
public sealed record KeptConsentText(ConsentText Text, DateTimeOffset KeptAt, string? KeptBy);

/// <summary>Every version of every text.</summary>
/// <param name="Texts">By purpose, language and version, the newest last.</param>
/// <param name="Refusal">Why there are none to see.</param>
public sealed record ConsentTextsReply(IReadOnlyList<KeptConsentText> Texts, Refusal? Refusal);

/// <summary>What came of a text that was handed in.</summary>
/// <param name="Kept">The text as kept; absent when it was not.</param>
/// <param name="Faults">Everything wrong with it.</param>
/// <param name="Refusal">Why it was not kept, when its content is not to blame.</param>
public sealed record ConsentTextReply(KeptConsentText? Kept, IReadOnlyList<string> Faults, Refusal? Refusal);
