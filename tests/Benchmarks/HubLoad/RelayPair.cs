using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>The baseline: two clients of a bare SignalR hub that pass a text to each other. No rights, no log, no disk.</summary>
internal sealed class RelayPair : IAsyncDisposable
{
    public const string Path = "/relay";

    private readonly HubConnection _console;
    private readonly HubConnection _kit;
    private string _consoleName = string.Empty;
    private string _kitName = string.Empty;
    private TaskCompletionSource<long> _atKit = NewSignal();
    private TaskCompletionSource<long> _atConsole = NewSignal();

    private RelayPair(HubConnection console, HubConnection kit)
    {
        (_console, _kit) = (console, kit);
        kit.On<string>("Passed", _ => _atKit.TrySetResult(TimeProvider.System.GetTimestamp()));
        console.On<string>("Passed", _ => _atConsole.TrySetResult(TimeProvider.System.GetTimestamp()));
    }

    /// <summary>Whether both are still linked.</summary>
    public bool Stands => _console.State == HubConnectionState.Connected && _kit.State == HubConnectionState.Connected;

    public static async Task<RelayPair> Connect(Uri server)
    {
        var pair = new RelayPair(Build(server), Build(server));
        await pair._console.StartAsync();
        await pair._kit.StartAsync();
        pair._consoleName = await pair._console.InvokeAsync<string>("Name");
        pair._kitName = await pair._kit.InvokeAsync<string>("Name");
        return pair;
    }

    /// <summary>From one to the other.</summary>
    /// <returns>Until the sender had its answer and the text was there, ms.</returns>
    public Task<double> There(string text)
    {
        _atKit = NewSignal();
        return Pass(_console, _kitName, text, _atKit.Task);
    }

    /// <summary>And back.</summary>
    public Task<double> Back(string text)
    {
        _atConsole = NewSignal();
        return Pass(_kit, _consoleName, text, _atConsole.Task);
    }

    public async ValueTask DisposeAsync()
    {
        await _console.DisposeAsync();
        await _kit.DisposeAsync();
    }

    private static async Task<double> Pass(HubConnection from, string to, string text, Task<long> arrived)
    {
        var began = TimeProvider.System.GetTimestamp();
        await from.InvokeAsync("Pass", to, text);
        var answered = TimeProvider.System.GetTimestamp();
        return TimeProvider.System.GetElapsedTime(began, Math.Max(answered, await arrived)).TotalMilliseconds;
    }

    private static HubConnection Build(Uri server) => new HubConnectionBuilder()
        .WithUrl(new Uri(server, Path), options =>
        {
            options.Transports = HttpTransportType.WebSockets;
            options.SkipNegotiation = true;
        })
        .Build();

    private static TaskCompletionSource<long> NewSignal() => new(TaskCreationOptions.RunContinuationsAsynchronously);
}
