using System.Buffers;
using System.IO.Pipelines;
using System.Text;
using TeleHearing.Links;
using TeleHearing.Testing.Messages;

namespace TeleHearing.Site.Agent.Tests.Link;

/// <summary>Seals of a connection's records: what does not come as it was sent is not used, whichever way it went wrong.</summary>
public sealed class LinkSealTests
{
    private const int Injections = 1000;

    private static readonly string[] _bodies =
    [
        """{"type":6}""",
        """{"type":1,"target":"RenewLease","arguments":[{"number":17,"hubRunId":"6d1f6b7e-0d3e-4b3f-9d5c-0c9f5a1d2b11","hubMs":120340,"lengthMs":1000}]}""",
        """{"type":1,"target":"Cut","arguments":["0b3f7d8e-7f8d-4a55-8f3e-b3fdb4b1a7c2"]}""",
        """{"type":3,"invocationId":"12","result":{"acknowledgedSequence":48}}""",
        """{"type":1,"invocationId":"13","target":"Ask","arguments":[{"protocolVersion":1,"commandId":"aa0f7d8e-7f8d-4a55-8f3e-b3fdb4b1a7c2","sessionId":"bb0f7d8e-7f8d-4a55-8f3e-b3fdb4b1a7c2","controlEpoch":3,"expectedVersion":41,"expiresAt":"2026-03-02T10:00:00Z","command":{"command":"order-step","request":{"step":"present-tone","ear":"Right","frequencyHz":1000,"levelDbHl":40,"shape":"Steady","durationMs":1000},"loudConfirmed":false}}]}""",
        """{"type":1,"target":"ShowScene","arguments":[{"sessionId":"bb0f7d8e-7f8d-4a55-8f3e-b3fdb4b1a7c2","stage":"Testing","clinicianName":"Maren Toft","assistantDone":true,"stopped":false,"controlEpoch":3}]}""",
    ];

    /// <summary>Python 3: base64.urlsafe_b64encode(hmac.new(bytes(range(32)), record + bytes([direction]) + struct.pack('>q', number), hashlib.sha256).digest()[:16]).</summary>
    [Theory]
    [InlineData(LinkDirection.ToHub, 0, "mLg7JvxWQURjHINb83Mr0Q")]
    [InlineData(LinkDirection.FromHub, 12, "ozgRk1ACIDvYA12Bs_xieg")]
    public void ASealIsWhatAnotherLibraryComputes(LinkDirection direction, int number, string tag)
    {
        using var seal = new LinkSeal([.. Enumerable.Range(0, LinkKey.Bytes).Select(at => (byte)at)], direction);
        var written = new ArrayBufferWriter<byte>();
        for (var at = 0; at <= number; at++)
        {
            written.Clear();
            seal.Seal("""{"type":6}"""u8, written);
        }

        Assert.Equal($"{{\"type\":6}}\u001f{number}.{tag}\u001e", Encoding.UTF8.GetString(written.WrittenSpan));
    }

    public static TheoryData<CommunicationError> Errors => [.. Enum.GetValues<CommunicationError>().Where(error => error != CommunicationError.Delay)];

    [Theory]
    [MemberData(nameof(Errors))]
    public async Task NothingOfARecordThatDidNotComeAsItWasSentIsUsed(CommunicationError error)
    {
        var seen = new Dictionary<LinkDefence, int>();
        for (var seed = 0; seed < Injections; seed++)
        {
            var random = new Random(seed);
            var key = LinkKey.Make();
            var sent = Enumerable.Range(0, 12).Select(_ => _bodies[random.Next(_bodies.Length)]).ToList();
            var wire = Tampered(new Mutator(seed), error, Seal(key, sent), at: random.Next(2, 9));

            var (got, fault) = await Read(key, wire, random);

            Assert.True(fault is not null, $"{error}, seed {seed}: not caught.");
            Assert.Equal(sent.Take(got.Count), got);
            Assert.True(got.Count < sent.Count);
            seen[fault.Defence] = seen.GetValueOrDefault(fault.Defence) + 1;
        }

        Assert.Equal(Injections, seen.Values.Sum());
        TestContext.Current.TestOutputHelper!.WriteLine($"{error}: {string.Join(", ", seen.OrderBy(one => one.Key).Select(one => $"{one.Key} {one.Value}"))}");
    }

    [Fact]
    public async Task WhatComesAsItWasSentComesWholeHoweverItIsCut()
    {
        for (var seed = 0; seed < 100; seed++)
        {
            var random = new Random(seed);
            var key = LinkKey.Make();
            var sent = Enumerable.Range(0, 20).Select(_ => $"{{\"type\":1,\"target\":\"{new string('é', random.Next(6) == 0 ? random.Next(50_000) : random.Next(100))}\"}}").ToList();

            var (got, fault) = await Read(key, Seal(key, sent), random);

            Assert.Null(fault);
            Assert.Equal(sent, got);
        }
    }

    [Fact]
    public async Task ARecordThatDoesNotEndIsGivenUp()
    {
        var (got, fault) = await Read(LinkKey.Make(), [new string('x', 3000)], new Random(1), longest: 1024);

        Assert.Empty(got);
        Assert.Equal(LinkDefence.Length, fault?.Defence);
    }

    [Theory]
    [InlineData("http://hub.example/hubs/kit")]
    [InlineData("http://hub.example/hubs/kit?id=7")]
    [InlineData("http://hub.example/hubs/kit?seal=old&id=7")]
    public void AnAddressCarriesOneKey(string address)
    {
        var key = LinkKey.Make();
        var put = LinkKey.Put(new Uri(address), key);

        var parts = put.Query.TrimStart('?').Split('&').Select(part => part.Split('=')).ToLookup(part => part[0], part => part[1]);
        Assert.Equal(key, LinkKey.Read(Assert.Single(parts[LinkKey.QueryName])));
        Assert.Equal(address.Contains("id=7", StringComparison.Ordinal), parts["id"].Any());
    }

    [Theory]
    [InlineData("")]
    [InlineData("short")]
    [InlineData("no base64url, this!")]
    public void WhatIsNoKeyIsNone(string text) => Assert.Null(LinkKey.Read(text));

    /// <summary>The records as they go over the wire, without their ends.</summary>
    private static List<string> Seal(byte[] key, IReadOnlyList<string> bodies)
    {
        using var seal = new LinkSeal(key, LinkDirection.FromHub);
        var written = new ArrayBufferWriter<byte>();
        foreach (var body in bodies)
        {
            seal.Seal(Encoding.UTF8.GetBytes(body), written);
        }

        return [.. Encoding.UTF8.GetString(written.WrittenSpan).Split('\u001e', StringSplitOptions.RemoveEmptyEntries)];
    }

    private static List<string> Tampered(Mutator mutator, CommunicationError error, List<string> records, int at)
    {
        var connection = new WireConnection(1, "/hubs/kit");
        var (wire, done) = (new List<string>(), false);
        var others = Seal(LinkKey.Make(), _bodies);
        foreach (var back in Seal(LinkKey.Make(), _bodies))
        {
            connection.Note(LinkDirection.ToHub, back);
        }

        for (var number = 0; number < records.Count; number++)
        {
            var text = records[number];
            if (number >= at && !done)
            {
                wire.AddRange(mutator.Change(error, new WireRecord(connection, LinkDirection.FromHub, text), others, out done));
            }
            else
            {
                wire.Add(text);
            }

            connection.Note(LinkDirection.FromHub, text);
        }

        return wire;
    }

    /// <summary>What an end of the connection reads, the bytes arriving in pieces of any size.</summary>
    private static async Task<(List<string> Got, LinkFaultException? Fault)> Read(byte[] key, IReadOnlyList<string> wire, Random random, long? longest = null)
    {
        var cancellation = TestContext.Current.CancellationToken;
        var (comes, goes) = (new Pipe(), new Pipe());
        var plain = new Ends(comes.Reader, goes.Writer);
        LinkFaultException? told = null;
        var end = longest is { } limit ? SealedPipe.AtHub(plain, key, limit, fault => told = fault) : SealedPipe.AtClient(plain, key, fault => told = fault);
        var writing = Write(comes.Writer, Encoding.UTF8.GetBytes(string.Concat(wire.Select(record => record + "\u001e"))), random, withoutEnd: longest is not null);
        var got = new List<string>();
        try
        {
            while (true)
            {
                var read = await end.Input.ReadAsync(cancellation);
                var rest = read.Buffer;
                while (rest.PositionOf((byte)0x1E) is { } at)
                {
                    got.Add(Encoding.UTF8.GetString(rest.Slice(0, at)));
                    rest = rest.Slice(rest.GetPosition(1, at));
                }

                end.Input.AdvanceTo(rest.Start, rest.End);
                if (read.IsCompleted)
                {
                    await writing;
                    return (got, null);
                }
            }
        }
        catch (LinkFaultException fault)
        {
            Assert.Same(fault, told);
            await end.Input.CompleteAsync();
            await writing;
            return (got, fault);
        }
    }

    private static async Task Write(PipeWriter into, byte[] bytes, Random random, bool withoutEnd)
    {
        for (var sent = 0; sent < bytes.Length - (withoutEnd ? 1 : 0);)
        {
            var count = Math.Min(bytes.Length - (withoutEnd ? 1 : 0) - sent, 1 + random.Next(random.Next(4) == 0 ? 8 : 700));
            if ((await into.WriteAsync(bytes.AsMemory(sent, count), TestContext.Current.CancellationToken)).IsCompleted)
            {
                break;
            }

            sent += count;
        }

        await into.CompleteAsync();
    }

    private sealed record Ends(PipeReader Input, PipeWriter Output) : IDuplexPipe;
}
