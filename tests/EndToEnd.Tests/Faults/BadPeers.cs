using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Net.WebSockets;
using System.Text;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;

namespace TeleHearing.EndToEnd.Tests.Faults;

/// <summary>Peers that do what no console and no kit does.</summary>
internal static class BadPeers
{
    /// <summary>Asks for something as fast as answers come, some at a time, until cancelled.</summary>
    /// <returns>How many were answered.</returns>
    public static async Task<int> Flood(ConsoleLink link, int atATime, CancellationToken cancellationToken)
    {
        var answered = 0;
        await Task.WhenAll(Enumerable.Range(0, atATime).Select(_ => One()));
        return answered;

        async Task One()
        {
            while (!cancellationToken.IsCancellationRequested)
            {
                try
                {
                    await link.Board(cancellationToken);
                    Interlocked.Increment(ref answered);
                }
                catch (OperationCanceledException)
                {
                    return;
                }
                catch (Exception fault) when (fault is InvalidOperationException or IOException or Microsoft.AspNetCore.SignalR.HubException)
                {
                    // Refused, or cut: it comes back as soon as it can.
                    await Task.Yield();
                }
            }
        }
    }

    /// <summary>Opens connections that begin a request and never end it.</summary>
    public static async Task<IReadOnlyList<Socket>> HalfOpen(int port, int count, CancellationToken cancellationToken)
    {
        var sockets = new List<Socket>();
        for (var at = 0; at < count; at++)
        {
            var socket = new Socket(SocketType.Stream, ProtocolType.Tcp);
            await socket.ConnectAsync(new IPEndPoint(IPAddress.Loopback, port), cancellationToken);
            var begun = (at % 3) switch
            {
                0 => string.Empty,
                1 => $"POST {Protocol.KitTokenPath} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 5000\r\n\r\ngrant_type=",
                _ => $"GET {Protocol.ConsoleHubPath} HTTP/1.1\r\nHost: 127.0.0.1",
            };
            await socket.SendAsync(Encoding.ASCII.GetBytes(begun), SocketFlags.None, cancellationToken);
            sockets.Add(socket);
        }

        return sockets;
    }

    /// <summary>A console's socket that watches a session, agrees on the protocol, and never reads again.</summary>
    /// <returns>The socket, to be kept.</returns>
    public static async Task<ClientWebSocket> StalledReader(Uri hub, CookieContainer cookies, SessionId session, CancellationToken cancellationToken)
    {
        var socket = await Open(hub, cookies, cancellationToken);
        await Say(socket, $$"""{"type":1,"invocationId":"1","target":"{{nameof(IConsoleHub.WatchSession)}}","arguments":[{{Protocol.Version}},"{{session}}"]}""", cancellationToken);
        return socket;
    }

    /// <summary>A console's socket that sends one message of a size.</summary>
    /// <returns>How the hub ended it.</returns>
    public static async Task<string> Large(Uri hub, CookieContainer cookies, int bytes, CancellationToken cancellationToken)
    {
        using var socket = await Open(hub, cookies, cancellationToken);
        var answer = new byte[4096];
        try
        {
            await Say(socket, $$"""{"type":1,"invocationId":"1","target":"{{nameof(IConsoleHub.HandInProtocol)}}","arguments":["{{new string('x', bytes)}}",false]}""", cancellationToken);
            while (true)
            {
                var read = await socket.ReceiveAsync(answer, cancellationToken);
                if (read.MessageType == WebSocketMessageType.Close)
                {
                    return "closed";
                }
            }
        }
        catch (WebSocketException)
        {
            return "reset";
        }
    }

    /// <summary>Posts a body of a size to where kits ask for tokens.</summary>
    public static async Task<HttpStatusCode?> LargePost(Uri hub, int bytes, CancellationToken cancellationToken)
    {
        using var http = new HttpClient { BaseAddress = hub };
        using var body = new FormUrlEncodedContent([new("grant_type", new string('x', bytes))]);
        try
        {
            using var answer = await http.PostAsync(new Uri(Protocol.KitTokenPath, UriKind.Relative), body, cancellationToken);
            return answer.StatusCode;
        }
        catch (HttpRequestException)
        {
            return null;
        }
    }

    private static async Task<ClientWebSocket> Open(Uri hub, CookieContainer cookies, CancellationToken cancellationToken)
    {
        var socket = new ClientWebSocket();
        socket.Options.Cookies = cookies;
        await socket.ConnectAsync(new UriBuilder(new Uri(hub, Protocol.ConsoleHubPath)) { Scheme = "ws" }.Uri, cancellationToken);
        await Say(socket, """{"protocol":"json","version":1}""", cancellationToken);
        return socket;
    }

    private static Task Say(ClientWebSocket socket, string record, CancellationToken cancellationToken) =>
        socket.SendAsync(Encoding.UTF8.GetBytes(record + '\u001e'), WebSocketMessageType.Text, endOfMessage: true, cancellationToken);
}
