using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Rendering;

namespace TeleHearing.Charts;

/// <summary>Shows a drawing on a page.</summary>
public sealed class SvgView : ComponentBase
{
    /// <summary>The drawing.</summary>
    [Parameter]
    [EditorRequired]
    public SvgElement Root { get; set; } = new("svg");

    /// <inheritdoc />
    protected override void BuildRenderTree(RenderTreeBuilder builder) => Build(builder, Root);

    private static void Build(RenderTreeBuilder builder, SvgElement element)
    {
        builder.OpenElement(0, element.Name);
        if (element.Key is { } key)
        {
            builder.SetKey(key);
        }

        foreach (var (name, value) in element.Attributes)
        {
            builder.AddAttribute(1, name, value);
        }

        if (element.Text is { } text)
        {
            builder.AddContent(2, text);
        }

        foreach (var child in element.Children)
        {
            Build(builder, child);
        }

        builder.CloseElement();
    }
}
