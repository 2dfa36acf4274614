using System.Text.Json.Serialization;

namespace TeleHearing.Logistics.Parcels;

/// <summary>A line of the checklist before a parcel is sent. It says what a rule asks for, never that a parcel may be sent.</summary>
/// <param name="Key">Stable name of the line.</param>
/// <param name="Sentence">What is asked for, and what was found.</param>
/// <param name="Answer">What the list of items says to it.</param>
/// <param name="Source">Rule it comes from.</param>
/// <param name="Confidence">How sure that rule is.</param>
public sealed record ParcelCheckLine(string Key, string Sentence, ParcelAnswer Answer, string Source, SourceConfidence Confidence);

/// <summary>What the list of items says to a line.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ParcelAnswer>))]
public enum ParcelAnswer
{
    /// <summary>The numbers keep it.</summary>
    Met,

    /// <summary>The numbers do not keep it.</summary>
    NotMet,

    /// <summary>Somebody must look: the numbers are not there, or it is not about numbers.</summary>
    Look,
}

/// <summary>How sure a rule is.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<SourceConfidence>))]
public enum SourceConfidence
{
    /// <summary>Seen in a published source.</summary>
    Published,

    /// <summary>From memory: to be confirmed before it is relied on.</summary>
    Memory,

    /// <summary>The owner's or carrier's own number, or the project's.</summary>
    Own,
}
