namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Kinds of events written here.</summary>
internal enum EpcisEventType
{
    /// <summary>Something happened to things.</summary>
    ObjectEvent,

    /// <summary>Things were put into a case, or taken out of it.</summary>
    AggregationEvent,

    /// <summary>Things were joined for good, or parted.</summary>
    AssociationEvent,
}

/// <summary>What an event does to the life of what it is about.</summary>
internal enum EpcisAction
{
    /// <summary>Begins: in service, in the case, joined.</summary>
    Add,

    /// <summary>Neither begins nor ends anything.</summary>
    Observe,

    /// <summary>Ends: out of service, out of the case, parted.</summary>
    Delete,
}

/// <summary>An event of EPCIS 2.0 as it is written about a kit. Holds coded ids, words of the standard and closed words of ours alone: no name, no free text, no session.</summary>
internal sealed record EpcisEvent
{
    public required EpcisEventType Type { get; init; }

    public EpcisAction Action { get; init; } = EpcisAction.Observe;

    /// <summary>Id; the same each time the same entry is written. An error declaration has that of the event it is about.</summary>
    public string Id { get; init; } = string.Empty;

    /// <summary>When it happened, with the offset of the clinic's zone.</summary>
    public DateTimeOffset Time { get; init; }

    /// <summary>When it was recorded, with the offset of the clinic's zone.</summary>
    public DateTimeOffset Recorded { get; init; }

    /// <summary>Number of the kit's entry it comes from.</summary>
    public long Entry { get; init; }

    /// <summary>What an object event is about.</summary>
    public IReadOnlyList<string> Things { get; init; } = [];

    /// <summary>The case, or the unit, of an aggregation or association.</summary>
    public string? Parent { get; init; }

    /// <summary>What is in the case, or joined to the unit, one by one.</summary>
    public IReadOnlyList<string> Children { get; init; } = [];

    /// <summary>What is in the case by number.</summary>
    public IReadOnlyList<EpcisQuantity> Quantities { get; init; } = [];

    /// <summary>Business step, a short name of the Core Business Vocabulary.</summary>
    public string? Step { get; init; }

    /// <summary>Disposition, a short name of the Core Business Vocabulary.</summary>
    public string? Disposition { get; init; }

    /// <summary>Disposition that stays until it is unset, and the one it takes the place of.</summary>
    public (string Set, string Unset)? Lasting { get; init; }

    /// <summary>Where it happened, coded.</summary>
    public string? ReadPoint { get; init; }

    /// <summary>Where the things are afterwards, coded.</summary>
    public string? Location { get; init; }

    /// <summary>Where they are sent, coded.</summary>
    public string? Destination { get; init; }

    /// <summary>Papers and loans it belongs to: type and coded id.</summary>
    public IReadOnlyList<(string Type, string Id)> Transactions { get; init; } = [];

    /// <summary>Certificates, coded.</summary>
    public IReadOnlyList<string> Certificates { get; init; } = [];

    /// <summary>Readings of a sensor.</summary>
    public IReadOnlyList<EpcisReading> Readings { get; init; } = [];

    /// <summary>Words of our own name spaces: name with its prefix, and a value.</summary>
    public IReadOnlyList<(string Name, object Value)> Extensions { get; init; } = [];

    /// <summary>Says that the event of the same id is wrong.</summary>
    public EpcisError? Error { get; init; }
}

/// <summary>So many of a kind.</summary>
internal sealed record EpcisQuantity(string Kind, int Count);

/// <summary>A line of a sensor report.</summary>
/// <param name="Type">What was measured, a name of the GS1 vocabulary.</param>
/// <param name="Lowest">Lowest value; absent when not known.</param>
/// <param name="Highest">Highest value; absent when not known.</param>
/// <param name="Unit">UN/ECE Recommendation 20 code of the unit.</param>
/// <param name="Limit">Which limits it was held against; absent when none are set.</param>
/// <param name="Alarm">Whether it was outside them.</param>
internal sealed record EpcisReading(string Type, double? Lowest, double? Highest, string Unit, string? Limit, bool Alarm);

/// <summary>An error declaration.</summary>
/// <param name="DeclaredAt">When it was said, with the offset of the clinic's zone.</param>
/// <param name="DidNotOccur">It never happened; otherwise something in it is wrong.</param>
/// <param name="CorrectedBy">Events that say what was right.</param>
internal sealed record EpcisError(DateTimeOffset DeclaredAt, bool DidNotOccur, IReadOnlyList<string> CorrectedBy);
