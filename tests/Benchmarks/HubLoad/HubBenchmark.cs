namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>What the hub does with time, disk and memory, each figure a ratio to a baseline in the same run.</summary>
internal static class HubBenchmark
{
    private static readonly Dictionary<string, Func<CancellationToken, Task>> _parts = new(StringComparer.Ordinal)
    {
        ["append"] = AppendFigures.Run,
        ["command"] = CommandFigures.OneSession,
        ["busy"] = CommandFigures.Busy,
        ["rebuild"] = RebuildFigures.Run,
        ["memory"] = LoadFigures.Memory,
        ["stop"] = StopFigures.Run,
        ["flood"] = LoadFigures.Flood,
        ["stalled"] = StalledFigures.Run,
    };

    public static string Usage { get; } = $"hub [{string.Join("|", _parts.Keys)}]";

    public static async Task<int> Run(string[] parts, CancellationToken cancellationToken)
    {
        if (parts.FirstOrDefault(part => !_parts.ContainsKey(part)) is { } unknown)
        {
            await Console.Error.WriteLineAsync($"The hub has no figure \"{unknown}\". Use: {Usage}.");
            return 2;
        }

        foreach (var part in parts.Length == 0 ? [.. _parts.Keys] : parts)
        {
            await _parts[part](cancellationToken);
        }

        return 0;
    }
}
