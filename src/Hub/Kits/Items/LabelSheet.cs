using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Labels;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>A sheet of labels.</summary>
/// <param name="Name">Name in the address.</param>
/// <param name="Size">Size of the paper as CSS says it.</param>
/// <param name="WidthMm">Width of the paper, mm.</param>
/// <param name="HeightMm">Height of the paper, mm.</param>
/// <param name="Columns">Labels across.</param>
/// <param name="Rows">Labels down.</param>
internal sealed record SheetForm(string Name, string Size, double WidthMm, double HeightMm, int Columns, int Rows)
{
    public int PerPage => Columns * Rows;

    /// <summary>Every form there is: small labels for items and large ones for cases, on both papers (design; the paper is ISO 216 A4 and ANSI A).</summary>
    public static IReadOnlyList<SheetForm> All { get; } =
    [
        new("a4-24", "A4", 210, 297, 3, 8),
        new("a4-12", "A4", 210, 297, 2, 6),
        new("letter-21", "letter", 215.9, 279.4, 3, 7),
        new("letter-10", "letter", 215.9, 279.4, 2, 5),
    ];
}

/// <summary>A label to print.</summary>
internal sealed record PrintedLabel(LabelCode Code, string Title, string Detail);

/// <summary>The page of labels, ready to print: no script, and the same on screen and paper.</summary>
internal static class LabelSheet
{
    /// <summary>The labels of a kit: its own, then its items'. Those whose name cannot be on a label are told apart.</summary>
    public static (IReadOnlyList<PrintedLabel> Labels, IReadOnlyList<string> Without) Of(KitId kitId, string label, IReadOnlyList<KitItem> items)
    {
        var (labels, without) = (new List<PrintedLabel>(), new List<string>());
        void Add(string? item, string title, string detail)
        {
            if (LabelCode.Faults(kitId.Value, item) is { Count: > 0 } faults)
            {
                without.Add($"{title}: {faults[0].Sentence}");
            }
            else
            {
                labels.Add(new PrintedLabel(LabelCode.Of(kitId.Value, item), title, detail));
            }
        }

        Add(null, kitId.Value, label);
        foreach (var item in items)
        {
            Add(item.ItemId, item.Kind, item.Serial is null ? $"{kitId} · {item.ItemId}" : $"{kitId} · {item.ItemId} · {item.Serial}");
        }

        return (labels, without);
    }

    /// <summary>The page.</summary>
    /// <param name="labels">Labels in order.</param>
    /// <param name="without">Sentences about what has no label.</param>
    /// <param name="form">Form of the sheet.</param>
    /// <param name="skip">Places of the first sheet that are used up.</param>
    /// <param name="address">Address of this page without its form, for the links to the other forms.</param>
    public static string Html(IReadOnlyList<PrintedLabel> labels, IReadOnlyList<string> without, SheetForm form, int skip, string address)
    {
        var body = new StringBuilder();
        var places = Enumerable.Repeat<PrintedLabel?>(null, skip).Concat(labels).ToList();
        foreach (var page in places.Chunk(form.PerPage))
        {
            body.Append("<section class=\"sheet\">");
            foreach (var label in page)
            {
                body.Append(label is null ? "<div class=\"label empty\"></div>" : Label(label));
            }

            body.Append("</section>\n");
        }

        return string.Create(CultureInfo.InvariantCulture, $$"""
            <!doctype html>
            <html lang="en">
            <head>
            <meta charset="utf-8">
            <meta name="viewport" content="width=device-width, initial-scale=1">
            <title>Labels - TeleHearing</title>
            <link rel="icon" href="/icon.svg" type="image/svg+xml">
            <style>{{Style(form)}}</style>
            </head>
            <body>
            <main>
            <div class="about">
            <h1>Labels</h1>
            <p>Print without margins and at 100 %. {{labels.Count}} labels, {{form.PerPage}} on a sheet. The dashed lines are not printed.</p>
            <p>Sheet: {{string.Join(" · ", SheetForm.All.Select(other => other == form ? $"<span class=\"on\" aria-current=\"true\">{Words(other)}</span>" : $"<a href=\"{HtmlEncoder.Default.Encode($"{address}&sheet={other.Name}")}\">{Words(other)}</a>"))}}</p>
            <p>When the first places of a sheet are used up, write <code>&amp;skip=3</code> at the end of the address to leave three free.</p>
            {{string.Concat(without.Select(sentence => $"<p><strong>No label:</strong> {HtmlEncoder.Default.Encode(sentence)}</p>"))}}
            </div>
            {{body}}
            </main>
            </body>
            </html>
            """);
    }

    /// <summary>The style of a sheet, as it stands between the style tags.</summary>
    public static string Style(SheetForm form) => string.Create(CultureInfo.InvariantCulture, $$"""

        @page { size: {{form.Size}}; margin: 0; }
        * { box-sizing: border-box; }
        body { margin: 0; font: 1.0625rem/1.45 system-ui, sans-serif; color: #1d2a33; background: #f1f3f1; }
        .about { max-width: 48rem; margin: 1rem auto; padding: 0 1rem; }
        .about .on { font-weight: 700; }
        a { color: #17545a; }
        .sheet { width: {{form.WidthMm}}mm; height: {{form.HeightMm}}mm; margin: 1rem auto; background: #fff; display: grid; grid-template-columns: repeat({{form.Columns}}, 1fr); grid-template-rows: repeat({{form.Rows}}, 1fr); break-after: page; overflow: hidden; }
        .label { padding: 3mm 4mm; display: grid; grid-template-columns: auto 1fr; grid-template-rows: 1fr auto; gap: 0 2.5mm; align-items: center; overflow: hidden; outline: 0.2mm dashed #c3ccca; }
        .qr { width: 23mm; height: 23mm; display: block; background: #fff; fill: #000; }
        .title { font-size: 10.5pt; line-height: 1.2; font-weight: 700; overflow-wrap: anywhere; display: block; }
        .detail { font-size: 8.5pt; line-height: 1.2; display: block; margin-top: 1mm; overflow-wrap: anywhere; }
        .code { grid-column: 1 / -1; font: 700 10pt/1.2 ui-monospace, "DejaVu Sans Mono", monospace; white-space: nowrap; }
        @media print { body { background: #fff; } .about { display: none; } .sheet { margin: 0; } .label { outline: none; } }

        """);

    private static string Words(SheetForm form) => string.Create(CultureInfo.InvariantCulture, $"{(form.Size == "A4" ? "A4" : "US letter")}, {form.PerPage}");

    private static string Label(PrintedLabel label) =>
        $"<div class=\"label\">{QrDrawing.Svg(label.Code.Text, $"QR code of {label.Code.Text}")}<div><span class=\"title\">{HtmlEncoder.Default.Encode(label.Title)}</span><span class=\"detail\">{HtmlEncoder.Default.Encode(label.Detail)}</span></div><span class=\"code\">{label.Code.Text}</span></div>";
}
