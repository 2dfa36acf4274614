using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Stored names and shapes of all facts of kits. Names are for good; a new shape is a new line here with the next number.</summary>
internal static class KitFactCatalog
{
    private static readonly (string Name, int Shape, Type Type)[] _lines =
    [
        ("gear.reported", 1, typeof(GearReported)),
        ("known-ear.baseline", 1, typeof(BaselineRecorded)),
        ("known-ear.checked", 1, typeof(KnownEarChecked)),
        ("function.checked", 1, typeof(FunctionChecked)),
        ("sides.proven", 1, typeof(SidesProven)),
        ("kit.moved", 1, typeof(KitMoved)),
        ("loan.begun", 1, typeof(LoanBegun)),
        ("loan.ended", 1, typeof(LoanEnded)),
        ("look-back.opened", 1, typeof(LookBackOpened)),
        ("look-back.session-reviewed", 1, typeof(SessionReviewed)),
    ];

    private static readonly Dictionary<Type, (string Name, int Shape)> _byType = _lines.ToDictionary(line => line.Type, line => (line.Name, line.Shape));

    private static readonly Dictionary<(string Name, int Shape), Type> _byName = _lines.ToDictionary(line => (line.Name, line.Shape), line => line.Type);

    /// <summary>Every line: stored name, shape number, type.</summary>
    public static IReadOnlyList<(string Name, int Shape, Type Type)> Lines => _lines;

    /// <summary>Stored form of a fact.</summary>
    public static (string Name, int Shape, string Payload) Write(KitFact fact)
    {
        if (fact is UnreadableFact carried)
        {
            return (carried.Kind, carried.Shape, carried.Payload);
        }

        var (name, shape) = _byType[fact.GetType()];
        return (name, shape, JsonSerializer.Serialize(fact, fact.GetType(), Protocol.Json));
    }

    /// <summary>Reads a stored fact; never fails, for facts that cannot be shown help nobody.</summary>
    public static KitFact Read(string name, int shape, string payload)
    {
        if (!_byName.TryGetValue((name, shape), out var type))
        {
            return new UnreadableFact(name, shape, payload);
        }

        try
        {
            return (KitFact?)JsonSerializer.Deserialize(payload, type, Protocol.Json) ?? new UnreadableFact(name, shape, payload);
        }
        catch (Exception fault) when (fault is JsonException or NotSupportedException)
        {
            // The payload was changed by hand: the hash chain says where, and the rest stays readable.
            return new UnreadableFact(name, shape, payload);
        }
    }
}
