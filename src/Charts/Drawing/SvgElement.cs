using System.Globalization;

namespace TeleHearing.Charts;

/// <summary>One element of a drawing: the single form from which both the component on a page and the file on disk are made.</summary>
/// <param name="Name">Element name, e.g. "line".</param>
public sealed record SvgElement(string Name)
{
    /// <summary>Attributes in the order they are written.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Attributes { get; init; } = [];

    /// <summary>Elements inside.</summary>
    public IReadOnlyList<SvgElement> Children { get; init; } = [];

    /// <summary>Text inside, before any children.</summary>
    public string? Text { get; init; }

    /// <summary>Identity across redraws: an element that keeps its key is not taken for a new one.</summary>
    public string? Key { get; init; }

    /// <summary>The value of an attribute, or null.</summary>
    public string? this[string attribute] =>
        Attributes.Where(pair => pair.Key == attribute).Select(pair => pair.Value).FirstOrDefault();

    /// <summary>This element and everything below it, in drawing order.</summary>
    public IEnumerable<SvgElement> Flatten() => Children.SelectMany(child => child.Flatten()).Prepend(this);

    internal static SvgElement Make(string name, params (string Name, object Value)[] attributes) =>
        new(name) { Attributes = [.. attributes.Select(pair => KeyValuePair.Create(pair.Name, Format(pair.Value)))] };

    internal static SvgElement Group(string cssClass, IEnumerable<SvgElement> children, string? key = null) =>
        Make("g", ("class", cssClass)) with { Children = [.. children], Key = key };

    internal static SvgElement Label(double x, double y, string text, double size, string anchor = "start", string colour = Ink.Text, bool bold = false) =>
        Make("text", ("x", x), ("y", y), ("font-size", size), ("text-anchor", anchor), ("fill", colour), ("font-weight", bold ? "600" : "400")) with { Text = text };

    internal static SvgElement Line(double x1, double y1, double x2, double y2, string colour, double width, string? dashes = null)
    {
        var line = Make("line", ("x1", x1), ("y1", y1), ("x2", x2), ("y2", y2), ("stroke", colour), ("stroke-width", width));
        return dashes is null ? line : line with { Attributes = [.. line.Attributes, KeyValuePair.Create("stroke-dasharray", dashes)] };
    }

    /// <summary>The element with one attribute more.</summary>
    internal SvgElement With(string attribute, object value) => this with { Attributes = [.. Attributes, KeyValuePair.Create(attribute, Format(value))] };

    internal static string Lengths(IEnumerable<double> lengths) => string.Join(' ', lengths.Select(length => Format(length)));

    internal static string Path(IEnumerable<(double X, double Y)> corners) =>
        string.Join(' ', corners.Select(corner => $"{Format(corner.X)},{Format(corner.Y)}"));

    private static string Format(object value) => value switch
    {
        double number => number.ToString("0.##", CultureInfo.InvariantCulture),
        IFormattable formattable => formattable.ToString(null, CultureInfo.InvariantCulture),
        _ => value.ToString() ?? string.Empty,
    };
}
