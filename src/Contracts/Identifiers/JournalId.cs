using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>One kit journal; made anew when a kit is wiped, so that its sequence numbers cannot be mistaken for older ones.</summary>
[JsonConverter(typeof(GuidIdConverter<JournalId>))]
public readonly record struct JournalId(Guid Value) : IGuidId<JournalId>
{
    public static JournalId From(Guid value) => new(value);

    /// <summary>Makes a new one that sorts by time of making.</summary>
    public static JournalId New() => new(Guid.CreateVersion7());

    public override string ToString() => Value.ToString();
}
