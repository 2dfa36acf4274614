using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.Pages;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>The kit coordinator at a console: asks about kits and loans over the live link, and sends and reads files over HTTP. Knows nothing of the hub's inside.</summary>
internal sealed class CoordinatorDesk : IAsyncDisposable
{
    private static readonly TimeSpan _askLifetime = TimeSpan.FromMinutes(1);

    private readonly HttpClientHandler _handler = new() { CookieContainer = new CookieContainer(), UseProxy = false, AllowAutoRedirect = false };
    private readonly HttpClient _http;
    private readonly HubConnection _connection;

    private CoordinatorDesk(Uri hub)
    {
        _http = new HttpClient(_handler) { BaseAddress = hub };
        var builder = new HubConnectionBuilder().WithUrl(new Uri(hub, Protocol.ConsoleHubPath), options =>
        {
            options.Cookies = _handler.CookieContainer;
            options.Transports = HttpTransportType.WebSockets;
            options.SkipNegotiation = true;
        });
        builder.AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions));
        _connection = builder.Build();
    }

    /// <summary>Uses up a sign-in link and connects.</summary>
    public static async Task<CoordinatorDesk> SignIn(Uri hub, string link, CancellationToken cancellationToken)
    {
        var desk = new CoordinatorDesk(hub);
        using var form = FormToken.Form(await desk._http.GetStringAsync(new Uri(hub, link), cancellationToken));
        using var answer = await desk._http.PostAsync(new Uri(hub, link), form, cancellationToken);
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
        await desk._connection.StartAsync(cancellationToken);
        return desk;
    }

    /// <summary>A kit's page now.</summary>
    public async Task<KitView> Kit(KitId kitId, CancellationToken cancellationToken) =>
        (await _connection.InvokeAsync<WatchKitReply>(nameof(IConsoleHub.WatchKit), Protocol.Version, kitId, cancellationToken)).View!;

    /// <summary>Loans, sessions and incidents now.</summary>
    public async Task<FleetView> Fleet(CancellationToken cancellationToken) =>
        (await _connection.InvokeAsync<WatchFleetReply>(nameof(IConsoleHub.WatchFleet), Protocol.Version, cancellationToken)).View!;

    /// <summary>Asks something of a kit.</summary>
    /// <returns>Why it was not recorded; absent when it was.</returns>
    public async Task<Refusal?> Ask(KitId kitId, KitCommand command, CancellationToken cancellationToken) =>
        (await _connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskKit), new KitCommandEnvelope(Protocol.Version, CommandId.New(), kitId, Expiry(), command), cancellationToken)).Refusal;

    /// <summary>Records things about a kit one after the other; the hub must take each.</summary>
    public async Task Must(KitId kitId, CancellationToken cancellationToken, params IEnumerable<KitCommand> commands)
    {
        foreach (var command in commands)
        {
            var refusal = await Ask(kitId, command, cancellationToken);
            Assert.True(refusal is null, $"{kitId}, {command.GetType().Name}: {refusal?.Sentence}");
        }
    }

    /// <summary>Records something about the fleet; the hub must take it.</summary>
    public async Task Must(FleetCommand command, CancellationToken cancellationToken)
    {
        var receipt = await _connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskFleet), new FleetCommandEnvelope(Protocol.Version, CommandId.New(), Expiry(), command), cancellationToken);
        Assert.True(receipt.Refusal is null, $"{command.GetType().Name}: {receipt.Refusal?.Sentence}");
    }

    /// <summary>Hands in a photo of a kit's case.</summary>
    /// <returns>Its id.</returns>
    public async Task<string> HandIn(KitId kitId, byte[] picture, CancellationToken cancellationToken)
    {
        using var body = new ByteArrayContent(picture) { Headers = { ContentType = new MediaTypeHeaderValue("image/png") } };
        using var answer = await _http.PostAsync(new Uri($"/api/kits/{kitId}/photos", UriKind.Relative), body, cancellationToken);
        return (await answer.Content.ReadFromJsonAsync<PhotoReply>(Protocol.Json, cancellationToken))!.Photo!;
    }

    /// <summary>Reads a photo of a kit's case.</summary>
    public Task<byte[]> Photo(KitId kitId, string photo, CancellationToken cancellationToken) => _http.GetByteArrayAsync(new Uri($"/api/kits/{kitId}/photos/{photo}", UriKind.Relative), cancellationToken);

    /// <summary>Reads a text.</summary>
    public Task<string> Read(string path, CancellationToken cancellationToken) => _http.GetStringAsync(new Uri(path, UriKind.Relative), cancellationToken);

    public async ValueTask DisposeAsync()
    {
        await _connection.DisposeAsync();
        _http.Dispose();
        _handler.Dispose();
    }

    private static DateTimeOffset Expiry() => TimeProvider.System.GetUtcNow() + _askLifetime;
}
