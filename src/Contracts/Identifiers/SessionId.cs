using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>One meeting of a clinician and a person tested, from referral to close.</summary>
[JsonConverter(typeof(GuidIdConverter<SessionId>))]
public readonly record struct SessionId(Guid Value) : IGuidId<SessionId>
{
    public static SessionId From(Guid value) => new(value);

    /// <summary>Makes a new one that sorts by time of making.</summary>
    public static SessionId New() => new(Guid.CreateVersion7());

    public override string ToString() => Value.ToString();
}
