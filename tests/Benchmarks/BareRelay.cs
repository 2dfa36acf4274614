using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace TeleHearing.Benchmarks;

/// <summary>The baseline: one SignalR client sends a text, the hub passes it to another. No rights, no log, no disk.</summary>
internal static class BareRelay
{
    private const string Text = "{\"ear\":\"Right\",\"frequencyHz\":1000,\"levelDbHl\":30}";

    /// <summary>Times from the call of the sender to the arrival at the receiver, in ms.</summary>
    public static async Task<Spread> Measure(int rounds, CancellationToken cancellationToken)
    {
        var builder = WebApplication.CreateBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls("http://127.0.0.1:0");
        builder.Services.AddSignalR();
        await using var app = builder.Build();
        app.MapHub<RelayHub>("/relay");
        await app.StartAsync(cancellationToken);
        var address = new Uri(new Uri(app.Urls.Single()), "/relay");

        await using var sender = new HubConnectionBuilder().WithUrl(address).Build();
        await using var receiver = new HubConnectionBuilder().WithUrl(address).Build();
        var arrived = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
        using var subscription = receiver.On<string>("Passed", _ => arrived.TrySetResult(TimeProvider.System.GetTimestamp()));
        await receiver.StartAsync(cancellationToken);
        await sender.StartAsync(cancellationToken);

        var times = new List<double>();
        for (var round = -rounds / 10; round < rounds; round++)
        {
            arrived = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
            var start = TimeProvider.System.GetTimestamp();
            await sender.InvokeAsync("Pass", Text, cancellationToken);
            var elapsed = TimeProvider.System.GetElapsedTime(start, await arrived.Task.WaitAsync(cancellationToken));
            if (round >= 0)
            {
                times.Add(elapsed.TotalMilliseconds);
            }
        }

        await app.StopAsync(cancellationToken);
        return new Spread(times);
    }

    internal sealed class RelayHub : Microsoft.AspNetCore.SignalR.Hub
    {
        public Task Pass(string text) => Clients.Others.SendAsync("Passed", text);
    }
}
