using System.Net;
using System.Text;
using System.Text.Json;

namespace TeleHearing.Benchmarks;

/// <summary>Writes results into a folder: table, JSON, plots, and a page that shows them.</summary>
internal static class PopulationFolder
{
    private static readonly JsonSerializerOptions _json = new(JsonSerializerDefaults.Web) { WriteIndented = true };

    /// <summary>Makes the folder and tries to write to it.</summary>
    /// <returns>Why that does not go; absent when it does.</returns>
    public static string? WhyNotWritable(string folder)
    {
        try
        {
            Directory.CreateDirectory(folder);
            var probe = Path.Combine(folder, Path.GetRandomFileName());
            File.WriteAllBytes(probe, []);
            File.Delete(probe);
            return null;
        }
        catch (Exception refused) when (refused is IOException or UnauthorizedAccessException)
        {
            return refused.Message;
        }
    }

    public static async Task WriteAsync(PopulationOptions options, IReadOnlyList<PopulationResult> results, string text, CancellationToken cancellationToken)
    {
        Directory.CreateDirectory(options.Folder);
        var errors = PopulationPlots.Errors(results);
        var lengths = PopulationPlots.Lengths(results);
        var json = JsonSerializer.Serialize(
            new
            {
                options.Ears,
                options.Seed,
                Rules = options.Rules.Name,
                Methods = results.Select(result => new { result.Method.Name, result.Method.Description, result.EarsPerMinute, Rows = PopulationRow.Of(result) }),
                Published = PublishedFigure.All,
            },
            _json);
        await File.WriteAllTextAsync(Path.Combine(options.Folder, "table.txt"), text, cancellationToken);
        await File.WriteAllTextAsync(Path.Combine(options.Folder, "result.json"), json, cancellationToken);
        await File.WriteAllTextAsync(Path.Combine(options.Folder, "errors.svg"), errors, cancellationToken);
        await File.WriteAllTextAsync(Path.Combine(options.Folder, "lengths.svg"), lengths, cancellationToken);
        await File.WriteAllTextAsync(Path.Combine(options.Folder, "report.html"), Page(text, errors, lengths), cancellationToken);
    }

    private static string Page(string text, string errors, string lengths) => new StringBuilder()
        .AppendLine("<!DOCTYPE html>")
        .AppendLine("<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Simulated listeners</title>")
        .AppendLine("<style>body{font:16px sans-serif;margin:2rem;max-width:110rem}pre{overflow-x:auto;font-size:13px}figure{margin:1rem 0}svg{max-width:100%}</style></head><body>")
        .AppendLine("<h1>The hearing test on simulated listeners</h1>")
        .AppendLine("<p>Simulated listeners show that the machinery is right. They say nothing about people, whose repeatability alone has a standard uncertainty of 2.5 dB up to 4 kHz and 4 dB above (ISO 8253-1:2010, A.3.2).</p>")
        .Append("<figure>").Append(errors).AppendLine("<figcaption>Errors of unmasked thresholds by air, cooperative listeners.</figcaption></figure>")
        .Append("<figure>").Append(lengths).AppendLine("<figcaption>Length of the unmasked test by air for one ear, cooperative listeners.</figcaption></figure>")
        .Append("<pre>").Append(WebUtility.HtmlEncode(text)).AppendLine("</pre>")
        .AppendLine("</body></html>")
        .ToString();
}
