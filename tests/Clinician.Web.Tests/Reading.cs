using AngleSharp.Dom;
using Bunit;
using Microsoft.AspNetCore.Components;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Finds things by what a person reads.</summary>
internal static class Reading
{
    public static IElement Button<T>(this IRenderedComponent<T> page, string words)
        where T : IComponent =>
        page.FindAll("button").First(button => Text(button).StartsWith(words, StringComparison.Ordinal));

    public static bool HasButton<T>(this IRenderedComponent<T> page, string words)
        where T : IComponent =>
        page.FindAll("button").Any(button => Text(button).StartsWith(words, StringComparison.Ordinal));

    /// <summary>The field whose label begins with the words.</summary>
    public static IElement Field<T>(this IRenderedComponent<T> page, string label)
        where T : IComponent =>
        page.FindAll("label").First(candidate => Text(candidate).StartsWith(label, StringComparison.Ordinal)).QuerySelector("input, textarea, select")
            ?? throw new InvalidOperationException($"The label \"{label}\" has no field.");

    public static IElement Named<T>(this IRenderedComponent<T> page, string name)
        where T : IComponent =>
        page.Find($"[aria-label=\"{name}\"]");

    public static string Words<T>(this IRenderedComponent<T> page)
        where T : IComponent =>
        string.Join(' ', page.Nodes.Select(node => Text(node)));

    /// <summary>Text with runs of white space made one space, and a space between elements, as they stand apart on the page.</summary>
    public static string Text(INode node) =>
        string.Join(' ', Pieces(node).SelectMany(piece => piece.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)));

    private static IEnumerable<string> Pieces(INode node) =>
        node is IText text ? [text.Data] : node.ChildNodes.SelectMany(Pieces);
}
