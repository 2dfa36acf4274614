using TeleHearing.Hub.Storage;

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

    private static readonly FactCatalog<KitFact> _catalog = new(
        _lines,
        (name, shape, payload) => new UnreadableFact(name, shape, payload),
        fact => fact is UnreadableFact carried ? (carried.Kind, carried.Shape, carried.Payload) : null);

    /// <summary>Every line: stored name, shape number, type.</summary>
    public static IReadOnlyList<(string Name, int Shape, Type Type)> Lines => _catalog.Lines;

    /// <inheritdoc cref="FactCatalog{TFact}.Write"/>
    public static (string Name, int Shape, string Payload) Write(KitFact fact) => _catalog.Write(fact);

    /// <inheritdoc cref="FactCatalog{TFact}.Read"/>
    public static KitFact Read(string name, int shape, string payload) => _catalog.Read(name, shape, payload);
}
