using System.Security.Cryptography;
using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A kit as a program: greets, reports what the test says, and sees what it is told.</summary>
internal sealed class TestKit : IAsyncDisposable
{
    private readonly ECDsa _key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly Uri _hub;
    private long _sequence;

    public TestKit(KitId kitId, Uri hub)
    {
        KitId = kitId;
        _hub = hub;
        PublicKeyPem = _key.ExportSubjectPublicKeyInfoPem();
    }

    public KitId KitId { get; }

    public string PublicKeyPem { get; }

    public JournalId JournalId { get; } = JournalId.New();

    public List<StepId> OrdersSeen { get; } = [];

    public Channel<StepOrder> Orders { get; } = Channel.CreateUnbounded<StepOrder>();

    public Channel<StepId> Cuts { get; } = Channel.CreateUnbounded<StepId>();

    public Channel<LeaseGrant> Leases { get; } = Channel.CreateUnbounded<LeaseGrant>();

    public Channel<KitScene> Scenes { get; } = Channel.CreateUnbounded<KitScene>();

    public TaskCompletionSource<string> Revoked { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public HubConnection? Connection { get; private set; }

    /// <summary>The assertion of a connection.</summary>
    public string Token(TimeSpan? life = null, string audience = Protocol.KitAudience, ECDsa? key = null) => new JsonWebTokenHandler().CreateToken(new SecurityTokenDescriptor
    {
        Issuer = KitId.Value,
        Audience = audience,
        Expires = TimeProvider.System.GetUtcNow().UtcDateTime + (life ?? TimeSpan.FromSeconds(60)),
        Claims = new Dictionary<string, object> { ["jti"] = Guid.CreateVersion7().ToString("N") },
        SigningCredentials = new SigningCredentials(new ECDsaSecurityKey(key ?? _key) { KeyId = KitId.Value }, SecurityAlgorithms.EcdsaSha256),
    });

    public HubConnection Build(Func<string>? token = null)
    {
        var connection = new HubConnectionBuilder()
            .WithUrl(new Uri(_hub, Protocol.KitHubPath), options => options.AccessTokenProvider = () => Task.FromResult<string?>(token is null ? Token() : token()))
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .Build();
        connection.KeepAliveInterval = TimeSpan.FromSeconds(1);
        connection.On<StepOrder>(nameof(IKitClient.Carry), order => Orders.Writer.TryWrite(order));
        connection.On<StepId>(nameof(IKitClient.Cut), step => Cuts.Writer.TryWrite(step));
        connection.On<LeaseGrant>(nameof(IKitClient.RenewLease), lease => Leases.Writer.TryWrite(lease));
        connection.On<KitScene>(nameof(IKitClient.ShowScene), scene => Scenes.Writer.TryWrite(scene));
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

    public Task<KitWelcome> Hello(HubConnection connection, StepId? unfinished = null, int version = Protocol.Version, KitGear? gear = null) => connection.InvokeAsync<KitWelcome>(
        nameof(IKitHub.Hello),
        new KitHello(version, "test 1.0", JournalId, _sequence, unfinished, [.. OrdersSeen]) { Gear = gear },
        TestContext.Current.CancellationToken);

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

    public Task<ReportAck> Hand(params JournaledReport[] reports) =>
        Connection!.InvokeAsync<ReportAck>(nameof(IKitHub.Report), JournalId, reports, TestContext.Current.CancellationToken);

    public Task<ReportAck> Report(SessionId? sessionId, params KitReport[] reports) => Hand([.. reports.Select(report => Next(sessionId, report))]);

    public Task Signal(LiveSignal signal) => Connection!.InvokeAsync(nameof(IKitHub.Signal), signal, TestContext.Current.CancellationToken);

    public async ValueTask DisposeAsync()
    {
        if (Connection is not null)
        {
            await Connection.DisposeAsync();
        }

        _key.Dispose();
    }
}
