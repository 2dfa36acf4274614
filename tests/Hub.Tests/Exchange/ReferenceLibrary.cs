using System.Diagnostics;
using System.Text.Json;
using System.Text.Json.Nodes;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>Validates documents with the npm package epcis2.js 2.7.3, which shares no code with the project. tests/all.sh installs it; a machine without it fails the test and is told how to mend it.</summary>
internal static class ReferenceLibrary
{
    private static readonly string _folder = Path.Combine(RepositoryRoot.Path, "tests", "epcis");

    /// <summary>Faults of each document by its name.</summary>
    public static async Task<IReadOnlyDictionary<string, IReadOnlyList<string>>> Faults(IReadOnlyDictionary<string, string> documents, CancellationToken cancellationToken)
    {
        var installed = Path.Combine(_folder, "node_modules", "epcis2.js", "package.json");
        Assert.True(File.Exists(installed), $"The documents are validated by an outside library. Install it: npm exec --yes --package npm@10.9.9 -- npm ci --prefix {_folder} --ignore-scripts");
        Assert.Equal("2.7.3", (string)JsonNode.Parse(await File.ReadAllTextAsync(installed, cancellationToken))!["version"]!);
        using var folder = new TempFolder();
        var file = Path.Combine(folder.Path, "documents.json");
        await File.WriteAllTextAsync(file, JsonSerializer.Serialize(documents.Select(pair => new { name = pair.Key, document = JsonNode.Parse(pair.Value) })), cancellationToken);
        using var process = Process.Start(new ProcessStartInfo("node", [Path.Combine(_folder, "validate.js"), file]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var errors = process.StandardError.ReadToEndAsync(cancellationToken);
        var lines = await process.StandardOutput.ReadToEndAsync(cancellationToken);
        await process.WaitForExitAsync(cancellationToken);
        Assert.True(process.ExitCode == 0, await errors);
        return lines.Split('\n', StringSplitOptions.RemoveEmptyEntries)
            .Select(line => JsonNode.Parse(line)!)
            .ToDictionary(line => (string)line["name"]!, line => (IReadOnlyList<string>)[.. line["faults"]!.AsArray().Select(fault => (string)fault!)]);
    }
}
