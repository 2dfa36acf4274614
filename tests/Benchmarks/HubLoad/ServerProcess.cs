using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using TeleHearing.Contracts;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>This program once more, as a server or as load, in a process of its own.</summary>
internal sealed class ServerProcess : IAsyncDisposable
{
    private readonly Process _process;

    private ServerProcess(Process process, Listening listening) => (_process, Listening) = (process, listening);

    public Listening Listening { get; }

    public static Task<ServerProcess> Hub(int seats, bool limited = false) => Start(limited ? Server.LimitedKind : Server.HubKind, seats);

    public static Task<ServerProcess> Relay() => Start(Server.RelayKind, 0);

    public static Process Begin(params string[] args)
    {
        var start = new ProcessStartInfo(Environment.ProcessPath!) { RedirectStandardInput = true, RedirectStandardOutput = true };
        if (Path.GetFileNameWithoutExtension(start.FileName) == "dotnet")
        {
            start.ArgumentList.Add(typeof(ServerProcess).Assembly.Location);
        }

        foreach (var argument in args)
        {
            start.ArgumentList.Add(argument);
        }

        return Process.Start(start) ?? throw new InvalidOperationException("The program did not start once more.");
    }

    public async Task<Memory> Memory()
    {
        await _process.StandardInput.WriteLineAsync(Server.AskMemory);
        return JsonSerializer.Deserialize<Memory>(await NextLine(_process))!;
    }

    /// <summary>Time that the server has spent compiling itself.</summary>
    public async Task<TimeSpan> Compiled()
    {
        await _process.StandardInput.WriteLineAsync(Server.AskCompiled);
        return JsonSerializer.Deserialize<TimeSpan>(await NextLine(_process));
    }

    /// <summary>Memory of the process now, garbage among it, in bytes.</summary>
    public long Anonymous() => long.Parse(
        File.ReadLines($"/proc/{_process.Id}/status").First(found => found.StartsWith("RssAnon:", StringComparison.Ordinal)).Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2],
        CultureInfo.InvariantCulture) * 1024;

    /// <summary>Processor time the server has used, on all cores together.</summary>
    public TimeSpan Processor()
    {
        _process.Refresh();
        return _process.TotalProcessorTime;
    }

    public async ValueTask DisposeAsync()
    {
        _process.StandardInput.Close();
        await _process.WaitForExitAsync();
        _process.Dispose();
    }

    private static async Task<ServerProcess> Start(string kind, int seats)
    {
        var process = Begin(Server.Verb, kind, seats.ToString(CultureInfo.InvariantCulture));
        return new ServerProcess(process, JsonSerializer.Deserialize<Listening>(await NextLine(process), Protocol.Json)!);
    }

    private static async Task<string> NextLine(Process process) =>
        await process.StandardOutput.ReadLineAsync() ?? throw new InvalidOperationException("The server ended before it said anything; what was wrong stands above.");
}
