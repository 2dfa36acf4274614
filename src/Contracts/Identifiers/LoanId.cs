using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>One lending of a kit, from the request for it until it is back.</summary>
[JsonConverter(typeof(GuidIdConverter<LoanId>))]
public readonly record struct LoanId(Guid Value) : IGuidId<LoanId>
{
    public static LoanId From(Guid value) => new(value);

    /// <summary>Makes a new one that sorts by time of making.</summary>
    public static LoanId New() => new(Guid.CreateVersion7());

    public override string ToString() => Value.ToString();
}
