using System.Text.Json;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Reads what a running hub writes into its log files, line by line as it comes.</summary>
internal sealed class HubLogTail : IAsyncDisposable
{
    private static readonly TimeSpan _between = TimeSpan.FromMilliseconds(20);

    private readonly CancellationTokenSource _ending = new();
    private readonly Task _reading;

    /// <param name="hub">The hub.</param>
    /// <param name="heard">Called with each line, an object of Serilog's compact JSON.</param>
    public HubLogTail(HubRig hub, Action<JsonElement> heard) => _reading = Read(Path.Combine(hub.Data, "logs"), heard);

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        await _reading;
        _ending.Dispose();
    }

    private async Task Read(string folder, Action<JsonElement> heard)
    {
        var places = new Dictionary<string, long>();
        try
        {
            while (true)
            {
                foreach (var file in Directory.EnumerateFiles(folder, "*.jsonl"))
                {
                    places[file] = await ReadOn(file, places.GetValueOrDefault(file), heard);
                }

                await Task.Delay(_between, TimeProvider.System, _ending.Token);
            }
        }
        catch (OperationCanceledException)
        {
            // Nobody asks any more.
        }
    }

    /// <returns>Where the next line begins.</returns>
    private async Task<long> ReadOn(string file, long from, Action<JsonElement> heard)
    {
        await using var stream = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        if (stream.Length <= from)
        {
            return from;
        }

        stream.Position = from;
        var bytes = new byte[stream.Length - from];
        await stream.ReadExactlyAsync(bytes, _ending.Token);
        var whole = bytes.AsSpan().LastIndexOf((byte)'\n') + 1;
        foreach (var line in System.Text.Encoding.UTF8.GetString(bytes, 0, whole).Split('\n', StringSplitOptions.RemoveEmptyEntries))
        {
            using var document = JsonDocument.Parse(line);
            heard(document.RootElement.Clone());
        }

        return from + whole;
    }
}
