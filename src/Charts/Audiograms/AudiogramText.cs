using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>One column of the table that says the same as the chart.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Route">Route.</param>
/// <param name="Heading">Words over the column, with the symbols.</param>
public sealed record AudiogramColumn(Ear Ear, ConductionRoute Route, string Heading);

/// <summary>One frequency of the table.</summary>
/// <param name="Frequency">Frequency.</param>
/// <param name="Cells">What was found, one for each column.</param>
public sealed record AudiogramRow(AudiometricFrequency Frequency, IReadOnlyList<string> Cells);

/// <summary>An audiogram in words.</summary>
public static class AudiogramText
{
    /// <summary>The description a screen reader reads after the title.</summary>
    public static string Describe(Audiogram audiogram)
    {
        if (audiogram.Description is { } given)
        {
            return given;
        }

        var plain = IsPlain(audiogram);
        var ears = Enum.GetValues<Ear>().Where(audiogram.Shows).SelectMany(ear => DescribeEar(audiogram, ear, plain));
        return $"{(plain ? "Air conduction, not masked. " : string.Empty)}{string.Join(" ", ears)}";
    }

    /// <summary>What the table is about, after the title.</summary>
    public static string Scope(Audiogram audiogram) =>
        IsPlain(audiogram) ? "air conduction, not masked"
        : Standing(audiogram).All(point => point.Route == ConductionRoute.Air) ? "air conduction"
        : "air and bone conduction";

    /// <summary>The columns: one by air for each ear shown, then one for each ear and route by bone that was tested.</summary>
    public static IReadOnlyList<AudiogramColumn> Columns(Audiogram audiogram) =>
    [
        .. from route in Enum.GetValues<ConductionRoute>()
           from ear in Enum.GetValues<Ear>()
           where audiogram.Shows(ear)
           let kinds = audiogram.Standing(ear).Where(point => point.Route == route).Select(point => point.Masked).Distinct().Order().ToList()
           where route == ConductionRoute.Air || kinds.Count > 0
           select new AudiogramColumn(ear, route, Heading(ear, route, kinds)),
    ];

    /// <summary>Every frequency at which a shown ear has a standing measurement, rising.</summary>
    public static IReadOnlyList<AudiogramRow> Rows(Audiogram audiogram)
    {
        var columns = Columns(audiogram);
        var plain = IsPlain(audiogram);
        return
        [
            .. Standing(audiogram)
                .GroupBy(point => point.Frequency)
                .OrderBy(group => group.Key)
                .Select(group => new AudiogramRow(group.Key, [.. columns.Select(column => Cell([.. group.Where(point => (point.Ear, point.Route) == (column.Ear, column.Route))], plain))])),
        ];
    }

    /// <summary>Whether there is nothing but air conduction without masking, so that it need be said only once.</summary>
    private static bool IsPlain(Audiogram audiogram) => Standing(audiogram).All(point => point is { Route: ConductionRoute.Air, Masked: false });

    private static IEnumerable<AudiogramPoint> Standing(Audiogram audiogram) => Enum.GetValues<Ear>().Where(audiogram.Shows).SelectMany(audiogram.Standing);

    private static string Heading(Ear ear, ConductionRoute route, List<bool> kinds)
    {
        var symbols = kinds.Count == 0 ? SymbolForm.Of(ear, route, masked: false).Glyph : string.Join(", ", kinds.Select(masked => (masked ? "masked " : string.Empty) + SymbolForm.Of(ear, route, masked).Glyph));
        return route == ConductionRoute.Air ? $"{OutcomeText.Name(ear)} ear ({symbols})" : $"{OutcomeText.Name(ear)} ear, {PointText.Route(route)} ({symbols})";
    }

    // The masked measurement is told first: it is the one that holds.
    private static string Cell(IReadOnlyList<AudiogramPoint> points, bool plain) => points.Count == 0
        ? "not tested"
        : string.Join("; ", points.OrderByDescending(point => point.Masked).Select(point => plain ? Told(point) : $"{Masking(point)}: {Told(point)}"));

    private static string Masking(AudiogramPoint point) => (point.Masked, point.Route) switch
    {
        (true, _) => "masked",
        (_, ConductionRoute.BoneForehead) => "not masked, either ear may have heard it",
        _ => "not masked",
    };

    private static string Told(AudiogramPoint point) => OutcomeText.Full(point.Outcome) + PointText.Precision(point);

    private static IEnumerable<string> DescribeEar(Audiogram audiogram, Ear ear, bool plain)
    {
        var points = audiogram.Standing(ear);
        if (points.Count == 0)
        {
            return [$"{OutcomeText.Name(ear)} ear: nothing measured yet."];
        }

        return points
            .GroupBy(point => (point.Route, point.Masked))
            .OrderBy(kind => kind.Key.Route)
            .ThenBy(kind => kind.Key.Masked)
            .Select(kind => $"{(plain ? $"{OutcomeText.Name(ear)} ear" : Kind(kind.First()))}: {string.Join("; ", kind.Select(point => $"{point.Frequency}, {Short(audiogram, point)}"))}.");
    }

    private static string Kind(AudiogramPoint point) =>
        point is { Route: ConductionRoute.Air, Masked: false } ? $"{PointText.Series(point)}, not masked" : PointText.Series(point);

    private static string Short(Audiogram audiogram, AudiogramPoint point) =>
        OutcomeText.Short(point.Outcome) + PointText.Precision(point).Replace("; ", ", ", StringComparison.Ordinal) + (audiogram.IsOutranked(point) ? ", since masked" : string.Empty);
}
