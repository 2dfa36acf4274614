using System.Net.Http.Json;
using System.Net.WebSockets;
using System.Security.Cryptography;
using System.Threading.Channels;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A kit as a program: greets, reports what the test says, and sees what it is told.</summary>
internal sealed class TestKit : IAsyncDisposable
{
    private readonly ECDsa _key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly ECDsa _hubKey = ECDsa.Create();
    private long _sequence;

    public TestKit(KitId kitId, Uri hub)
    {
        KitId = kitId;
        Hub = hub;
        PublicKeyPem = _key.ExportSubjectPublicKeyInfoPem();
    }

    public KitId KitId { get; }

    /// <summary>The hub it links to.</summary>
    public Uri Hub { get; set; }

    public string PublicKeyPem { get; }

    public string Thumbprint => KitThumbprint.Of(_key);

    public JournalId JournalId { get; private set; } = JournalId.New();

    /// <summary>Name of the newest link.</summary>
    public string Link { get; private set; } = string.Empty;

    public List<StepId> OrdersSeen { get; } = [];

    public Channel<StepOrder> Orders { get; } = Channel.CreateUnbounded<StepOrder>();

    public Channel<StepId> Cuts { get; } = Channel.CreateUnbounded<StepId>();

    public Channel<LeaseGrant> Leases { get; } = Channel.CreateUnbounded<LeaseGrant>();

    public Channel<KitScene> Scenes { get; } = Channel.CreateUnbounded<KitScene>();

    public Channel<WipeOrder> Wipes { get; } = Channel.CreateUnbounded<WipeOrder>();

    public TaskCompletionSource<string> Revoked { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public HubConnection? Connection { get; private set; }

    /// <summary>Takes the hub's public key, as told at enrolment.</summary>
    public void Trust(string hubKeyPem) => _hubKey.ImportFromPem(hubKeyPem);

    /// <summary>Signs a message with the kit's key, or another one.</summary>
    public string Sign<T>(string type, T message, bool wholeKey = false, ECDsa? key = null) => KitJws.Sign(key ?? _key, type, message, wholeKey);

    /// <summary>A fresh assertion.</summary>
    public string Assertion(Func<KitAssertion, KitAssertion>? change = null, ECDsa? key = null)
    {
        var assertion = KitAssertion.Of(KitId, TimeProvider.System.GetUtcNow());
        return Sign(KitJws.Assertion, change is null ? assertion : change(assertion), key: key);
    }

    /// <summary>What the hub answers to an assertion.</summary>
    public async Task<(KitTokenReply? Reply, KitTokenFault? Fault)> Exchange(string assertion)
    {
        using var client = new HttpClient { BaseAddress = Hub };
        using var body = new FormUrlEncodedContent([new("grant_type", Protocol.KitGrantType), new("assertion", assertion)]);
        using var answer = await client.PostAsync(Protocol.KitTokenPath, body, TestContext.Current.CancellationToken);
        return answer.IsSuccessStatusCode
            ? (await answer.Content.ReadFromJsonAsync<KitTokenReply>(Protocol.Json, TestContext.Current.CancellationToken), null)
            : (null, await answer.Content.ReadFromJsonAsync<KitTokenFault>(Protocol.Json, TestContext.Current.CancellationToken));
    }

    /// <summary>A token.</summary>
    /// <exception cref="HttpRequestException">The hub gives none.</exception>
    public async Task<string> Token()
    {
        var (reply, fault) = await Exchange(Assertion());
        return reply?.AccessToken ?? throw new HttpRequestException(fault?.Sentence);
    }

    /// <summary>A fresh proof of a request.</summary>
    public string Proof(string method, Uri address, string token, Func<KitProof, KitProof>? change = null, ECDsa? key = null)
    {
        var proof = KitProof.Of(method, address, token, TimeProvider.System.GetUtcNow());
        return Sign(KitJws.Proof, change is null ? proof : change(proof), wholeKey: true, key);
    }

    /// <summary>A client that shows on every request that it is this kit.</summary>
    public HttpClient Http() => new(new Proving(this)) { BaseAddress = Hub };

    public HubConnection Build()
    {
        var connection = new HubConnectionBuilder()
            .WithUrl(new Uri(Hub, Protocol.KitHubPath), options =>
            {
                options.Transports = HttpTransportType.WebSockets;
                options.SkipNegotiation = true;
                options.WebSocketFactory = async (context, cancellationToken) =>
                {
                    var token = await Token();
                    var socket = new ClientWebSocket();
                    socket.Options.SetRequestHeader("Authorization", $"{Protocol.ProofScheme} {token}");
                    socket.Options.SetRequestHeader(Protocol.ProofScheme, Proof("GET", context.Uri, token));
                    await socket.ConnectAsync(context.Uri, cancellationToken);
                    return socket;
                };
            })
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .Build();
        connection.KeepAliveInterval = TimeSpan.FromSeconds(1);
        connection.On<SignedOrder>(nameof(IKitClient.Carry), signed => Orders.Writer.TryWrite(Own(signed)));
        connection.On<StepId>(nameof(IKitClient.Cut), step => Cuts.Writer.TryWrite(step));
        connection.On<LeaseGrant>(nameof(IKitClient.RenewLease), lease => Leases.Writer.TryWrite(lease));
        connection.On<KitScene>(nameof(IKitClient.ShowScene), scene => Scenes.Writer.TryWrite(scene));
        connection.On<WipeOrder>(nameof(IKitClient.Wipe), order => Wipes.Writer.TryWrite(order));
        connection.On<string>(nameof(IKitClient.Revoked), reason => Revoked.TrySetResult(reason));
        return connection;
    }

    /// <summary>Connects and says hello.</summary>
    public async Task<KitWelcome> Connect(StepId? unfinished = null, int version = Protocol.Version, KitGear? gear = null)
    {
        Connection = Build();
        await Connection.StartAsync(TestContext.Current.CancellationToken);
        return await Hello(Connection, unfinished, version, gear);
    }

    /// <summary>Gives the link its name and says hello on it.</summary>
    /// <param name="connection">The connection.</param>
    /// <param name="unfinished">A step under way.</param>
    /// <param name="version">Version it speaks.</param>
    /// <param name="gear">Its gear.</param>
    /// <param name="proof">Proof in place of the true one.</param>
    public async Task<KitWelcome> Hello(HubConnection connection, StepId? unfinished = null, int version = Protocol.Version, KitGear? gear = null, Func<KitHelloProof, string>? proof = null)
    {
        var nonce = Guid.NewGuid().ToString("N");
        Link = (await connection.InvokeAsync<KitChallenge>(nameof(IKitHub.Challenge), nonce, TestContext.Current.CancellationToken)).LinkWith(nonce);
        var shown = new KitHelloProof(KitId, Link, JournalId);
        return await connection.InvokeAsync<KitWelcome>(
            nameof(IKitHub.Hello),
            new KitHello(version, "test 1.0", JournalId, _sequence, unfinished, [.. OrdersSeen]) { Gear = gear, Proof = proof is null ? Sign(KitJws.Hello, shown) : proof(shown) },
            TestContext.Current.CancellationToken);
    }

    /// <summary>Ends the connection without a word to the session.</summary>
    public async Task Disconnect()
    {
        await Connection!.DisposeAsync();
        Connection = null;
    }

    public async Task<StepOrder> NextOrder()
    {
        var order = await Orders.Reader.ReadAsync(TestContext.Current.CancellationToken);
        OrdersSeen.Add(order.StepId);
        return order;
    }

    public async Task<KitScene> UntilScene(Func<KitScene, bool> holds)
    {
        KitScene scene;
        do
        {
            scene = await Scenes.Reader.ReadAsync(TestContext.Current.CancellationToken);
        }
        while (!holds(scene));
        return scene;
    }

    public JournaledReport Next(SessionId? sessionId, KitReport report) => new(++_sequence, sessionId, _sequence * 10.0, report);

    public Task<ReportAck> Hand(params JournaledReport[] reports) => HandSigned(new SignedReports(Sign(KitJws.Reports, new KitBatch(JournalId, reports))));

    public Task<ReportAck> HandSigned(SignedReports batch) => Connection!.InvokeAsync<ReportAck>(nameof(IKitHub.Report), batch, TestContext.Current.CancellationToken);

    public Task<ReportAck> Report(SessionId? sessionId, params KitReport[] reports) => Hand([.. reports.Select(report => Next(sessionId, report))]);

    /// <summary>Wipes as it was asked to and attests it, as a kit does; the next journal is empty.</summary>
    public async Task<WipeReply> Attest(Func<KitWipe, KitWipe>? change = null, ECDsa? key = null)
    {
        var order = await Wipes.Reader.ReadAsync(TestContext.Current.CancellationToken);
        return await Attest(order.Sessions, change, key);
    }

    public async Task<WipeReply> Attest(IReadOnlyList<SessionId> sessions, Func<KitWipe, KitWipe>? change = null, ECDsa? key = null)
    {
        var word = new KitWipe(KitId, Thumbprint, sessions, JournalId, _sequence, JournalId.New(), TimeProvider.System.GetUtcNow());
        word = change is null ? word : change(word);
        var reply = await Connection!.InvokeAsync<WipeReply>(nameof(IKitHub.Wiped), new SignedWipe(Sign(KitJws.Wipe, word, key: key)), TestContext.Current.CancellationToken);
        if (reply.Refusal is null)
        {
            (JournalId, _sequence) = (word.NextJournal, 0);
        }

        return reply;
    }

    public Task Signal(LiveSignal signal) => Connection!.InvokeAsync(nameof(IKitHub.Signal), signal, TestContext.Current.CancellationToken);

    public async ValueTask DisposeAsync()
    {
        if (Connection is not null)
        {
            await Connection.DisposeAsync();
        }

        _key.Dispose();
        _hubKey.Dispose();
    }

    // The order as the kit would take it: from its hub, for it, its key and its link.
    private StepOrder Own(SignedOrder signed)
    {
        var order = KitJws.Open<KitOrder>(_hubKey, KitJws.Order, signed.Signed);
        Assert.NotNull(order);
        Assert.Equal((KitId, Thumbprint, Link), (order.KitId, order.Key, order.Link));
        return order.Order;
    }

    private sealed class Proving(TestKit kit) : DelegatingHandler(new HttpClientHandler { AllowAutoRedirect = false })
    {
        protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
        {
            var token = await kit.Token();
            request.Headers.Add("Authorization", $"{Protocol.ProofScheme} {token}");
            request.Headers.Add(Protocol.ProofScheme, kit.Proof(request.Method.Method, request.RequestUri!, token));
            return await base.SendAsync(request, cancellationToken);
        }
    }
}
