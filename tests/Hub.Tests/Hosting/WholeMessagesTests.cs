using System.Buffers;
using System.IO.Pipelines;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Protocol;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Hosting;

/// <summary>Messages are put together before a connection gets them: the same bytes, in full blocks.</summary>
public sealed class WholeMessagesTests
{
    /// <summary>Block of the memory that connections use (Kestrel's pool: 4,096 bytes).</summary>
    private const int Block = 4096;

    private readonly JsonHubProtocol _json = new();

    private static InvocationMessage Long { get; } = new("SessionChanged", [Enumerable.Range(0, 150).Select(number => new string((char)('a' + (number % 26)), 2000)).ToArray()]);

    [Theory]
    [MemberData(nameof(Messages))]
    public void TheBytesAreThoseOfTheProtocol(string name)
    {
        var message = All[name];
        var written = new ArrayBufferWriter<byte>();

        new WholeMessages(_json).WriteMessage(message, written);

        Assert.Equal(_json.GetMessageBytes(message).ToArray(), written.WrittenSpan.ToArray());
    }

    [Fact]
    public async Task ALongMessageTakesNoMoreMemoryOfAConnectionThanItHasBytes()
    {
        var whole = await Blocks(new WholeMessages(_json), Long);

        Assert.All(whole.SkipLast(1), length => Assert.Equal(Block, length));

        // What it is for: piece by piece no block is full.
        Assert.Contains(await Blocks(_json, Long), length => length is > 0 and < Block);
    }

    [Fact]
    public async Task TheHubSpeaksIt()
    {
        using var folder = new TempFolder();
        await using var hub = await RunningHub.Start(folder);

        Assert.IsType<WholeMessages>(Assert.Single(hub.Get<IEnumerable<IHubProtocol>>()));
        Assert.IsType<WholeMessages>(hub.Get<IHubProtocolResolver>().GetProtocol("json", null));
    }

    public static TheoryData<string> Messages() => [.. All.Keys];

    private static Dictionary<string, HubMessage> All { get; } = new(StringComparer.Ordinal)
    {
        ["a sign of life"] = PingMessage.Instance,
        ["an answer"] = CompletionMessage.WithResult("7", new { receipt = "carried out" }),
        ["a short message"] = new InvocationMessage("Cut", ["step"]),
        ["a long one"] = Long,
        ["letters that take three bytes"] = new InvocationMessage("ShowScene", [new string('\u20ac', 5000)]),
    };

    /// <summary>How much of each block of a connection a message fills.</summary>
    private static async Task<List<int>> Blocks(IHubProtocol protocol, HubMessage message)
    {
        var pipe = new Pipe(new PipeOptions(minimumSegmentSize: Block, pauseWriterThreshold: 0, useSynchronizationContext: false));
        protocol.WriteMessage(message, pipe.Writer);
        await pipe.Writer.FlushAsync(TestContext.Current.CancellationToken);
        var read = await pipe.Reader.ReadAsync(TestContext.Current.CancellationToken);
        var blocks = new List<int>();
        foreach (var piece in read.Buffer)
        {
            blocks.Add(piece.Length);
        }

        return blocks;
    }
}
