using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>How a purpose stands.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ConsentStanding>))]
public enum ConsentStanding
{
    Given,
    Declined,

    /// <summary>Given before and taken back.</summary>
    Withdrawn,
}

/// <summary>How an answer was given.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ConsentMeans>))]
public enum ConsentMeans
{
    /// <summary>Said to the clinician.</summary>
    Spoken,

    /// <summary>Pressed on the kit's screen.</summary>
    KitScreen,

    /// <summary>Signed on paper.</summary>
    SignedPaper,
}

/// <summary>Who answers: the person themself, or a substitute.</summary>
/// <param name="Substitute">Name of the substitute; absent when the person answers themself.</param>
/// <param name="Capacity">In what capacity the substitute answers, e.g. "guardian"; there with a substitute only.</param>
/// <param name="Doubt">Doubt about whether the person can decide, as the clinician noted it; absent when there is none.</param>
public sealed record ConsentParty(string? Substitute, string? Capacity, string? Doubt)
{
    /// <summary>The person themself, without doubt.</summary>
    public static ConsentParty Themself { get; } = new(null, null, null);

    /// <summary>As it was written down in consent recorded before name and capacity were kept apart.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? AsWritten { get; init; }

    /// <summary>In a sentence.</summary>
    public string InWords() => AsWritten ?? (Substitute is null ? "the person" : $"{Substitute} ({Capacity})");
}

/// <summary>The text that was shown or read out.</summary>
/// <param name="Version">Its version.</param>
/// <param name="Language">Its language, a tag of BCP 47 such as "en".</param>
/// <param name="Fingerprint">SHA-256 of the text, hexadecimal, so that it can be shown that it was never changed; absent in consent recorded before texts were kept.</param>
public sealed record ConsentTextShown(string Version, string Language, string? Fingerprint);

/// <summary>Consent taken back.</summary>
/// <param name="Sequence">Sequence of the event in the log.</param>
/// <param name="At">Hub time.</param>
/// <param name="By">Who took it back.</param>
/// <param name="How">How; absent where that was not kept.</param>
/// <param name="Reason">What was said; absent when nothing was.</param>
/// <param name="RecordedBy">Who recorded it.</param>
public sealed record ConsentWithdrawal(long Sequence, DateTimeOffset At, ConsentParty By, ConsentMeans? How, string? Reason, string RecordedBy);

/// <summary>An entry of the consent ledger: one answer for one purpose.</summary>
/// <param name="Purpose">Purpose.</param>
/// <param name="Standing">How it stands.</param>
/// <param name="Text">Text shown.</param>
/// <param name="By">Who answered.</param>
/// <param name="How">How; absent where that was not kept.</param>
/// <param name="FailurePlanExplained">What happens when the technique fails was explained before.</param>
/// <param name="InPersonOffered">A visit in person was offered instead.</param>
/// <param name="Sequence">Sequence of the event in the log.</param>
/// <param name="At">Hub time.</param>
/// <param name="RecordedBy">Name of who recorded it, or the kit whose screen was pressed.</param>
public sealed record ConsentEntry(
    ConsentPurpose Purpose,
    ConsentStanding Standing,
    ConsentTextShown Text,
    ConsentParty By,
    ConsentMeans? How,
    bool FailurePlanExplained,
    bool InPersonOffered,
    long Sequence,
    DateTimeOffset At,
    string RecordedBy)
{
    /// <summary>How it was taken back; absent while it was not.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ConsentWithdrawal? Withdrawn { get; init; }
}

/// <summary>An answer as it stood on a sheet with all purposes, before each had an entry.</summary>
public sealed record ConsentAnswer(ConsentPurpose Purpose, bool Given);

/// <summary>Consent as it was recorded on one sheet, before each purpose had an entry. Read from older logs; nothing new is written so.</summary>
/// <param name="Answers">One per purpose asked.</param>
/// <param name="WordingVersion">Version of the wording read out or shown.</param>
/// <param name="Language">Language it was given in.</param>
/// <param name="GivenBy">The person, or a named substitute with the reason.</param>
/// <param name="FailurePlanExplained">What happens when the technique fails was explained.</param>
/// <param name="InPersonOffered">A visit in person was offered instead.</param>
public sealed record ConsentSheet(
    IReadOnlyList<ConsentAnswer> Answers,
    string WordingVersion,
    string Language,
    string GivenBy,
    bool FailurePlanExplained,
    bool InPersonOffered);
