using System.Globalization;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A rehearsal run as a user runs it, and the files it left.</summary>
/// <param name="ExitCode">Exit code.</param>
/// <param name="Text">Everything it printed.</param>
/// <param name="Thresholds">The standing thresholds of record.json; empty when there is none.</param>
internal sealed record Rehearsed(int ExitCode, string Text, IReadOnlyList<ThresholdRecord> Thresholds)
{
    /// <summary>Runs one to its end.</summary>
    public static async Task<Rehearsed> Run(string listenerCsv, int seed, IEnumerable<string> more, CancellationToken cancellationToken)
    {
        using var folder = new TempFolder();
        var listener = folder.Inside("listener.csv");
        var results = folder.Inside("out");
        await File.WriteAllTextAsync(listener, listenerCsv, cancellationToken);
        await using var process = RealProcess.Dotnet(
            BuiltPrograms.Hub,
            ["rehearse", "--listener", listener, "--seed", seed.ToString(CultureInfo.InvariantCulture), "--out", results, .. more]);
        var code = await process.WaitForExit(Limits.Walk, cancellationToken);
        var record = Path.Combine(results, "record.json");
        return new Rehearsed(code, process.Text(), File.Exists(record) ? await ReadThresholds(record, cancellationToken) : []);
    }

    private static async Task<IReadOnlyList<ThresholdRecord>> ReadThresholds(string path, CancellationToken cancellationToken)
    {
        await using var stream = File.OpenRead(path);
        using var document = await JsonDocument.ParseAsync(stream, cancellationToken: cancellationToken);
        return
        [
            .. document.RootElement.GetProperty("thresholds").EnumerateArray()
                .Where(evidence => !evidence.GetProperty("superseded").GetBoolean())
                .Select(evidence => evidence.GetProperty("threshold").Deserialize<ThresholdRecord>(Protocol.Json) ?? throw new InvalidDataException($"{path} holds an empty threshold.")),
        ];
    }
}
