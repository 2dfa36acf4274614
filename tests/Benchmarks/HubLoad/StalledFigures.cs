using System.Net;
using System.Net.WebSockets;
using System.Text;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>Consoles that watch a session, show that they are there, and read nothing: what each of them costs the hub until it is cut.</summary>
/// <remarks>The same notes are written once without them and once with them: what the session itself takes is not theirs.</remarks>
internal static class StalledFigures
{
    private const int Readers = 20;
    private const int Notes = 150;
    private const byte RecordEnd = 0x1E;

    /// <summary>Slow enough that pictures are made as often as the hub makes any: all of them together are more than a system takes for a peer that reads nothing.</summary>
    private static readonly TimeSpan _pace = TimeSpan.FromMilliseconds(20);

    /// <summary>Long enough for one message to be 5 s on its way.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(20);

    public static async Task Run(CancellationToken cancellationToken)
    {
        await using var hub = await ServerProcess.Hub(Readers + 2);
        var (address, seats) = (hub.Listening.Address, hub.Listening.Seats);
        await using var first = await Desk.Open(address, seats[0]);
        await using var second = await Desk.Open(address, seats[1]);
        await first.Walk();
        await second.Walk();
        await Write(first, Notes / 10);
        var before = (await hub.Memory()).Heap;
        await Write(first, Notes);
        var alone = (await hub.Memory()).Heap - before;

        var stalled = new List<ClientWebSocket>();
        for (var number = 0; number < Readers; number++)
        {
            stalled.Add(await Stall(address, seats[number + 2], second.Session, cancellationToken));
        }

        before = (await hub.Memory()).Heap;
        await Write(second, Notes);
        var with = (await hub.Memory()).Heap - before;
        var began = TimeProvider.System.GetTimestamp();
        var cut = await Task.WhenAll(stalled.Select(socket => IsCut(socket, cancellationToken)));
        var each = Math.Max(0, with - alone) / (double)Readers / (1024 * 1024);
        Figures.Line($"{Readers} consoles that read nothing: {cut.Count(one => one)} of them cut {TimeProvider.System.GetElapsedTime(began).TotalSeconds:0} s after the last picture");
        Figures.Ratio("a stalled reader, MiB before it is cut", each, "at most", 1);
        stalled.ForEach(socket => socket.Dispose());
    }

    private static async Task Write(Desk desk, int count)
    {
        using var pace = new PeriodicTimer(_pace, TimeProvider.System);
        for (var number = 0; number < count && await pace.WaitForNextTickAsync(); number++)
        {
            await desk.Ask(new AddNote(new string('x', 2000)));
        }
    }

    private static async Task<ClientWebSocket> Stall(Uri hub, Seat seat, SessionId session, CancellationToken cancellationToken)
    {
        var cookies = new CookieContainer();
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = hub };
        using var answer = await browser.Send(seat.Link);
        var socket = new ClientWebSocket();
        socket.Options.Cookies = cookies;
        await socket.ConnectAsync(new UriBuilder(new Uri(hub, Protocol.ConsoleHubPath)) { Scheme = "ws" }.Uri, cancellationToken);
        await Say(socket, """{"protocol":"json","version":1}""", cancellationToken);
        await Say(socket, $$"""{"type":1,"invocationId":"1","target":"{{nameof(IConsoleHub.WatchSession)}}","arguments":[{{Protocol.Version}},{{JsonSerializer.Serialize(session, Protocol.Json)}}]}""", cancellationToken);
        return socket;
    }

    /// <summary>Goes on showing that it is there, and reads nothing, until the hub closes the connection.</summary>
    private static async Task<bool> IsCut(ClientWebSocket socket, CancellationToken cancellationToken)
    {
        var began = TimeProvider.System.GetTimestamp();
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(500), TimeProvider.System);
        try
        {
            while (TimeProvider.System.GetElapsedTime(began) < _patience && await timer.WaitForNextTickAsync(cancellationToken))
            {
                await Say(socket, """{"type":6}""", cancellationToken);
            }

            return false;
        }
        catch (WebSocketException)
        {
            return true;
        }
    }

    private static Task Say(ClientWebSocket socket, string record, CancellationToken cancellationToken) =>
        socket.SendAsync((byte[])[.. Encoding.UTF8.GetBytes(record), RecordEnd], WebSocketMessageType.Text, endOfMessage: true, cancellationToken);
}
