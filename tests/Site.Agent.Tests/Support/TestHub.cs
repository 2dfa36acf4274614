using System.Collections.Concurrent;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;
using TeleHearing.Contracts;
using TeleHearing.Links;

namespace TeleHearing.Site.Agent.Tests.Support;

/// <summary>A hub for one kit, real server and real SignalR, with the ways a hub or a network can misbehave at hand.</summary>
internal sealed class TestHub : IAsyncDisposable
{
    private readonly WebApplication _app;
    private readonly CancellationTokenSource _ending = new();
    private readonly long _started = TimeProvider.System.GetTimestamp();
    private readonly Guid _run = Guid.NewGuid();
    private readonly Lock _lock = new();
    private readonly SortedDictionary<long, JournaledReport> _held = [];
    private Task _renewing = Task.CompletedTask;
    private TaskCompletionSource _changed = NewSignal();
    private long _grants;
    private long _cursor;
    private JournalId _journal;

    private readonly ECDsa _hubKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly Lock _keyLock = new();
    private ECDsa? _kitKey;
    private string _link = string.Empty;

    private TestHub(WebApplication app) => _app = app;

    public Uri Address { get; private set; } = null!;

    public int Port => Address.Port;

    public SessionId Session { get; } = SessionId.New();

    public KitScene Scene { get; set; } = null!;

    /// <summary>Whether the lease is renewed.</summary>
    public bool Renews { get; set; } = true;

    /// <summary>Added to the age of every grant, ms: how late it pretends to arrive.</summary>
    public int GrantAgeMs { get; set; }

    /// <summary>Number of coming reports that are stored but whose acknowledgement is lost with the connection.</summary>
    public int AcksToLose { get; set; }

    /// <summary>Number of coming reports that are lost with the connection before they are stored.</summary>
    public int ReportsToLose { get; set; }

    /// <summary>Refuses reports of this kind for good.</summary>
    public Func<JournaledReport, Refusal?> Refuses { get; set; } = _ => null;

    /// <summary>Number of coming messages before which a report is said to be missing; nothing of them is stored.</summary>
    public int SaysOneIsMissing { get; set; }

    /// <summary>Reports are taken once this is done.</summary>
    public Task Holds { get; set; } = Task.CompletedTask;

    public Refusal? HelloRefusal { get; set; }

    public ConcurrentQueue<KitHello> Hellos { get; } = [];

    public ConcurrentQueue<LiveSignal> Signals { get; } = [];

    /// <summary>Assertions for which the kit asked a token.</summary>
    public ConcurrentQueue<string> Assertions { get; } = [];

    /// <summary>Token and proof of every connection greeted on.</summary>
    public ConcurrentQueue<(string Token, string Proof)> Proofs { get; } = [];

    /// <summary>Why no token is given; absent while it is.</summary>
    public KitTokenFault? TokenFault { get; set; }

    /// <summary>Reports received, repeated ones among them.</summary>
    public ConcurrentQueue<JournaledReport> Received { get; } = [];

    public string? ConnectionId { get; private set; }

    public IReadOnlyList<JournaledReport> Held
    {
        get
        {
            lock (_lock)
            {
                return [.. _held.Values];
            }
        }
    }

    /// <summary>Its kit. Agents of other tests may try a port that was once their hub's; they are no part of this test.</summary>
    public KitId KitId { get; } = new($"kit-{Guid.NewGuid():N}");

    private IKitClient Kit => _app.Services.GetRequiredService<IHubContext<KitEnd, IKitClient>>().Clients.Group(KitId.Value);

    public long NowMs => (long)TimeProvider.System.GetElapsedTime(_started).TotalMilliseconds;

    public static async Task<TestHub> StartAsync()
    {
        var builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls("http://127.0.0.1:0");
        TestHub? made = null;
        builder.Services.AddSingleton(_ => made!);
        builder.Services.AddSignalR(options => options.KeepAliveInterval = TimeSpan.FromSeconds(1))
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions));
        builder.Services.AddSingleton<HubConnectionHandler<KitEnd>, SealedKitEnd>();
        var app = builder.Build();
        app.MapHub<KitEnd>(Protocol.KitHubPath);
        app.MapPost(Protocol.EnrolPath, async (HttpContext context) =>
        {
            var kitId = context.RequestServices.GetRequiredService<TestHub>().KitId;
            var request = await context.Request.ReadFromJsonAsync<EnrolRequest>(Protocol.Json);
            var hub = context.RequestServices.GetRequiredService<TestHub>();
            hub.TakeKey(request!.PublicKeyPem);
            return Results.Json(
                request.Code == "GOOD" ? new EnrolReply(kitId, null) { HubKeyPem = hub._hubKey.ExportSubjectPublicKeyInfoPem() } : new EnrolReply(null, new Refusal(RefusalCodes.EnrolmentCode, "The code is used up.", "Ask for a new one.")),
                Protocol.Json);
        });
        app.MapPost(Protocol.KitTokenPath, async (HttpContext context) =>
        {
            var hub = context.RequestServices.GetRequiredService<TestHub>();
            var form = await context.Request.ReadFormAsync();
            if (hub.TokenFault is { } fault)
            {
                return Results.Json(fault, Protocol.Json, statusCode: StatusCodes.Status400BadRequest);
            }

            hub.Assertions.Enqueue(form["assertion"].ToString());
            return Results.Json(new KitTokenReply($"{hub.KitId}.token.{hub.Assertions.Count}", Protocol.ProofScheme, 600), Protocol.Json);
        });
        made = new TestHub(app);
        made.Scene = new KitScene(made.Session, SessionStage.Testing, null, "Maren Toft", null, false, null, false);
        await app.StartAsync();
        made.Address = new Uri(app.Urls.Single() + "/");
        made._renewing = made.RenewAsync();
        return made;
    }

    public StepOrder Order(StepRequest request, long number = 1) => new(
        Session,
        StepId.New(),
        number,
        1,
        NowMs + 20_000,
        100,
        Seed: 7,
        [],
        request)
    {
        Covered = ConsentPurposes.All,
    };

    /// <summary>Sends an order signed as it must be.</summary>
    public Task CarryAsync(StepOrder order) => CarrySignedAsync(Sign(BoundTo(order)));

    /// <summary>Sends something as an order.</summary>
    public Task CarrySignedAsync(SignedOrder order) => Kit.Carry(order);

    /// <summary>An order for this kit, its key and the newest link.</summary>
    public KitOrder BoundTo(StepOrder order) => new(KitId, KitThumbprint.Of(_kitKey!), _link, order);

    /// <summary>Signs an order, with this hub's key or another.</summary>
    public SignedOrder Sign(KitOrder order, string type = KitJws.Order, ECDsa? key = null)
    {
        lock (_keyLock)
        {
            return new SignedOrder(KitJws.Sign(key ?? _hubKey, type, order));
        }
    }

    /// <summary>Attestations that came.</summary>
    public ConcurrentQueue<KitWipe> Wiped { get; } = [];

    /// <summary>Asks the kit to wipe what it holds of sessions; of this one when none is named.</summary>
    public Task AskToWipeAsync(params SessionId[] sessions) => Kit.Wipe(new WipeOrder(sessions.Length == 0 ? [Session] : sessions));

    public Task CutAsync(StepId stepId) => Kit.Cut(stepId);

    public Task GrantAsync(LeaseGrant grant) => Kit.RenewLease(grant);

    public LeaseGrant NextGrant() => new(Interlocked.Increment(ref _grants), _run, NowMs - GrantAgeMs, Protocol.LeaseLengthMs);

    public Task RevokeAsync(string reason) => Kit.Revoked(reason);

    public Task ShowAsync(KitScene scene)
    {
        Scene = scene;
        return Kit.ShowScene(scene);
    }

    /// <summary>Waits until something is so.</summary>
    public async Task UntilAsync(Func<TestHub, bool> condition)
    {
        using var limit = new CancellationTokenSource(TimeSpan.FromSeconds(30), TimeProvider.System);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(limit.Token, TestContext.Current.CancellationToken);
        while (true)
        {
            Task changed;
            lock (_lock)
            {
                changed = _changed.Task;
            }

            if (condition(this))
            {
                return;
            }

            await changed.WaitAsync(either.Token);
        }
    }

    public async Task<StepEnded> EndOfAsync(StepId stepId)
    {
        await UntilAsync(hub => hub.Find<StepEnded>(end => end.StepId == stepId) is not null);
        return Find<StepEnded>(end => end.StepId == stepId)!;
    }

    public T? Find<T>(Func<T, bool> which)
        where T : KitReport => Held.Select(entry => entry.Report).OfType<T>().FirstOrDefault(which);

    public IReadOnlyList<T> All<T>()
        where T : KitReport => [.. Held.Select(entry => entry.Report).OfType<T>()];

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        await _renewing;
        await _app.StopAsync(TestContext.Current.CancellationToken);
        await _app.DisposeAsync();
        _ending.Dispose();
        _hubKey.Dispose();
        _kitKey?.Dispose();
    }

    private static TaskCompletionSource NewSignal() => new(TaskCreationOptions.RunContinuationsAsynchronously);

    private void Change()
    {
        TaskCompletionSource old;
        lock (_lock)
        {
            (old, _changed) = (_changed, NewSignal());
        }

        old.TrySetResult();
    }

    private async Task RenewAsync()
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(100), TimeProvider.System);
        try
        {
            while (await timer.WaitForNextTickAsync(_ending.Token))
            {
                if (Renews)
                {
                    await Kit.RenewLease(NextGrant());
                }
            }
        }
        catch (OperationCanceledException)
        {
            // the test is over
        }
    }

    private void TakeKey(string pem)
    {
        var key = ECDsa.Create();
        key.ImportFromPem(pem);
        _kitKey = key;
    }

    private KitWelcome Hello(KitHello hello, string connectionId, string link, (string Token, string Proof) shown)
    {
        Hellos.Enqueue(hello);
        Proofs.Enqueue(shown);
        _link = link;
        ConnectionId = connectionId;
        Change();
        return HelloRefusal is { } refusal
            ? new KitWelcome(refusal, 0, null, null, null)
            : !IsProven(hello, link) ? new KitWelcome(new Refusal(RefusalCodes.KitNotProven, "Not the kit's key."), 0, null, null, null)
            : new KitWelcome(null, CursorOf(hello.JournalId), KeyOf(hello.JournalId), Scene, NextGrant()) { Proof = Welcome(link) };
    }

    private bool IsProven(KitHello hello, string link) => KitJws.Open<KitHelloProof>(_kitKey!, KitJws.Hello, hello.Proof) == new KitHelloProof(KitId, link, hello.JournalId);

    private string Welcome(string link)
    {
        lock (_keyLock)
        {
            return KitJws.Sign(_hubKey, KitJws.Welcome, new KitWelcomeProof(KitId, link));
        }
    }

    /// <summary>Every journal has a key of its own, the same at every hello.</summary>
    private static string KeyOf(JournalId journalId) => Convert.ToBase64String(SHA256.HashData(journalId.Value.ToByteArray()));

    private long CursorOf(JournalId journalId)
    {
        lock (_lock)
        {
            return _journal == journalId ? _cursor : 0;
        }
    }

    private long Acknowledged()
    {
        lock (_lock)
        {
            return _cursor;
        }
    }

    /// <summary>Puts the hub back to the state before its first report, as a restored backup would.</summary>
    public void ForgetReports()
    {
        lock (_lock)
        {
            _held.Clear();
            _cursor = 0;
        }
    }

    private ReportAck Store(JournalId journalId, IReadOnlyList<JournaledReport> reports)
    {
        if (SaysOneIsMissing > 0)
        {
            SaysOneIsMissing--;
            return new ReportAck(Acknowledged(), new Refusal(RefusalCodes.OutOfOrder, $"A report is missing before {reports[0].Sequence}."));
        }

        Refusal? refusal = null;
        foreach (var report in reports)
        {
            Received.Enqueue(report);
            lock (_lock)
            {
                if (_journal != journalId)
                {
                    (_journal, _cursor) = (journalId, 0);
                }

                if (report.Sequence != _cursor + 1)
                {
                    continue;
                }

                _cursor++;
                if (Refuses(report) is { } refused)
                {
                    refusal = refused;
                    continue;
                }

                _held[_held.Count + 1] = report;
            }
        }

        Change();
        return new ReportAck(Acknowledged(), refusal);
    }

    private void Take(LiveSignal signal)
    {
        Signals.Enqueue(signal);
        Change();
    }

    /// <summary>Connections are sealed with the key in their address, as the hub's are.</summary>
    private sealed class SealedKitEnd(
        HubLifetimeManager<KitEnd> lifetimes,
        IHubProtocolResolver protocols,
        IOptions<HubOptions> all,
        IOptions<HubOptions<KitEnd>> own,
        ILoggerFactory loggers,
        IUserIdProvider users,
        IServiceScopeFactory scopes) : HubConnectionHandler<KitEnd>(lifetimes, protocols, all, own, loggers, users, scopes)
    {
        public override Task OnConnectedAsync(ConnectionContext connection)
        {
            connection.Transport = SealedPipe.AtHub(connection.Transport, LinkKey.Read(connection.GetHttpContext()!.Request.Query[LinkKey.QueryName]), SealedPipe.LongestFromHub, null);
            return base.OnConnectedAsync(connection);
        }
    }

    private sealed class KitEnd(TestHub hub) : Hub<IKitClient>, IKitHub
    {
        public Task<KitChallenge> Challenge(string nonce)
        {
            var challenge = new KitChallenge(Guid.NewGuid().ToString("N"));
            Context.Items["link"] = challenge.LinkWith(nonce);
            return Task.FromResult(challenge);
        }

        public async Task<KitWelcome> Hello(KitHello hello)
        {
            var headers = Context.GetHttpContext()!.Request.Headers;
            var token = headers.Authorization.ToString()["DPoP ".Length..];
            if (!token.StartsWith(hub.KitId.Value + ".", StringComparison.Ordinal))
            {
                return new KitWelcome(new Refusal(RefusalCodes.KitUnknown, "Not the kit of this test."), 0, null, null, null);
            }

            await Groups.AddToGroupAsync(Context.ConnectionId, hub.KitId.Value);
            return hub.Hello(hello, Context.ConnectionId, (string)Context.Items["link"]!, (token, headers["DPoP"].ToString()));
        }

        public async Task<ReportAck> Report(SignedReports batch)
        {
            var (journalId, reports) = KitJws.Open<KitBatch>(hub._kitKey!, KitJws.Reports, batch.Signed) ?? throw new HubException("The batch is not signed with the kit's key.");
            await hub.Holds;
            var lost = hub.ReportsToLose > 0;
            var ack = lost ? new ReportAck(0, null) : hub.Store(journalId, reports);
            if (lost || hub.AcksToLose > 0)
            {
                (hub.ReportsToLose, hub.AcksToLose) = (lost ? hub.ReportsToLose - 1 : hub.ReportsToLose, lost ? hub.AcksToLose : hub.AcksToLose - 1);
                Context.Abort();
                await Task.Delay(Timeout.InfiniteTimeSpan, TimeProvider.System, Context.ConnectionAborted).ContinueWith(_ => { }, TaskScheduler.Default);
            }

            return ack;
        }

        public Task<WipeReply> Wiped(SignedWipe wipe)
        {
            var word = KitJws.Open<KitWipe>(hub._kitKey!, KitJws.Wipe, wipe.Signed) ?? throw new HubException("The attestation is not signed with the kit's key.");
            hub.Wiped.Enqueue(word);
            hub.Change();
            return Task.FromResult(new WipeReply(null, KeyOf(word.NextJournal)));
        }

        public Task Signal(LiveSignal signal)
        {
            hub.Take(signal);
            return Task.CompletedTask;
        }
    }
}
