using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What a scanned or typed label came to.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ScanFinding>))]
public enum ScanFinding
{
    /// <summary>A kit of this clinic.</summary>
    Kit,

    /// <summary>An item of a kit of this clinic.</summary>
    Item,

    /// <summary>A label like ours, of a kit this hub does not know.</summary>
    UnknownKit,

    /// <summary>A label of a kit we know, of an item that is not on its list.</summary>
    UnknownItem,

    /// <summary>A label like ours whose check character does not fit: mistyped or damaged.</summary>
    Mistyped,

    /// <summary>Not a label of this tool.</summary>
    Foreign,
}

/// <summary>What a label is.</summary>
/// <param name="Finding">What was found.</param>
/// <param name="KitId">Kit it names; absent when it names none.</param>
/// <param name="ItemId">Item it names; absent for a kit.</param>
/// <param name="Sentence">The same in words.</param>
public sealed record ScanReply(ScanFinding Finding, KitId? KitId, string? ItemId, string Sentence)
{
    /// <summary>Where a console asks, with the text as query.</summary>
    public const string Path = "/api/scan";
}
