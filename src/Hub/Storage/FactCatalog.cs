using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Storage;

/// <summary>Stored names and shapes of one kind of facts. Names are for good; a new shape is a new line with the next number.</summary>
/// <typeparam name="TFact">What all of them are.</typeparam>
internal sealed class FactCatalog<TFact>
    where TFact : class
{
    private readonly Dictionary<Type, (string Name, int Shape)> _byType;
    private readonly Dictionary<(string Name, int Shape), Type> _byName;
    private readonly Func<string, int, string, TFact> _unreadable;
    private readonly Func<TFact, (string Name, int Shape, string Payload)?> _carried;

    /// <param name="lines">Every line: stored name, shape number, type.</param>
    /// <param name="unreadable">Makes the fact that carries what this build cannot read.</param>
    /// <param name="carried">What such a fact carries; null for all others.</param>
    public FactCatalog(
        IReadOnlyList<(string Name, int Shape, Type Type)> lines,
        Func<string, int, string, TFact> unreadable,
        Func<TFact, (string Name, int Shape, string Payload)?> carried)
    {
        Lines = lines;
        _unreadable = unreadable;
        _carried = carried;
        _byType = lines.ToDictionary(line => line.Type, line => (line.Name, line.Shape));
        _byName = lines.ToDictionary(line => (line.Name, line.Shape), line => line.Type);
    }

    /// <summary>Every line: stored name, shape number, type.</summary>
    public IReadOnlyList<(string Name, int Shape, Type Type)> Lines { get; }

    /// <summary>Stored form of a fact.</summary>
    public (string Name, int Shape, string Payload) Write(TFact fact)
    {
        if (_carried(fact) is { } carried)
        {
            return carried;
        }

        var (name, shape) = _byType[fact.GetType()];
        return (name, shape, JsonSerializer.Serialize(fact, fact.GetType(), Protocol.Json));
    }

    /// <summary>Reads a stored fact; never fails, for facts that cannot be shown help nobody.</summary>
    public TFact Read(string name, int shape, string payload)
    {
        if (!_byName.TryGetValue((name, shape), out var type))
        {
            return _unreadable(name, shape, payload);
        }

        try
        {
            return (TFact?)JsonSerializer.Deserialize(payload, type, Protocol.Json) ?? _unreadable(name, shape, payload);
        }
        catch (Exception fault) when (fault is JsonException or NotSupportedException)
        {
            // The payload was changed by hand: the hash chain says where, and the rest stays readable.
            return _unreadable(name, shape, payload);
        }
    }
}
