using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What becomes of an event that was handed in.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<EpcisOutcome>))]
public enum EpcisOutcome
{
    /// <summary>Recorded with a kit.</summary>
    Taken,

    /// <summary>Recorded as the word that an earlier one was wrong.</summary>
    Corrected,

    /// <summary>Kept aside: nothing could be recorded with a kit.</summary>
    KeptAside,

    /// <summary>Known already; nothing is done.</summary>
    KnownAlready,
}

/// <summary>Something in a document of events that keeps all of it from being used.</summary>
/// <param name="Event">Place of the event in its list, from 1; 0 when the whole document is meant.</param>
/// <param name="Field">Field, by its name in the document; empty when the whole event is meant.</param>
/// <param name="Sentence">What is wrong and what is wanted.</param>
public sealed record EpcisFault(int Event, string Field, string Sentence);

/// <summary>What becomes of one event.</summary>
/// <param name="Event">Place in its list, from 1.</param>
/// <param name="EventId">Its id.</param>
/// <param name="Outcome">What becomes of it.</param>
/// <param name="KitId">Kit it is about; absent when it is about none of this clinic's.</param>
/// <param name="Sentence">The same in words.</param>
public sealed record EpcisLine(int Event, string EventId, EpcisOutcome Outcome, KitId? KitId, string Sentence);

/// <summary>Answer to a document of events: all its faults, or all it does.</summary>
/// <param name="Faults">Everything that is wrong; nothing is recorded then.</param>
/// <param name="Lines">What it does, event by event.</param>
/// <param name="Kept">Whether it was done; a preview is not.</param>
/// <param name="Refusal">Why it was not done although the document is right.</param>
public sealed record EpcisReply(IReadOnlyList<EpcisFault> Faults, IReadOnlyList<EpcisLine> Lines, bool Kept, Refusal? Refusal)
{
    /// <summary>Where a document is posted; "keep=true" in the query records it.</summary>
    public const string Path = "/api/kits/epcis";

    /// <summary>Largest document, bytes.</summary>
    public const int MostBytes = 2 * 1024 * 1024;

    /// <summary>Where a kit's history is read as such a document.</summary>
    public static string ExportPath(KitId kitId) => $"/api/kits/{Uri.EscapeDataString(kitId.Value)}/epcis";
}
