using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Links;

namespace TeleHearing.Clinician.Web.Connection;

/// <summary>The SignalR connection from this page to the hub. The browser adds the sign-in cookie by itself.</summary>
internal sealed class HubLink : IConsoleLink, IAsyncDisposable
{
    // The hub pings every second; five silent ones and the link is taken for lost.
    private static readonly TimeSpan _hubSilenceLimit = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan _ownPing = TimeSpan.FromSeconds(2);
    private static readonly double[] _retryDelaysSeconds = [0.2, 0.5, 1, 2, 3];

    private readonly HubConnection _connection;
    private readonly TimeProvider _time;
    private readonly CancellationTokenSource _ended = new();
    private TaskCompletionSource _closed = new();
    private bool _started;

    public HubLink(Uri hubAddress, TimeProvider time)
    {
        _time = time;
        _connection = new HubConnectionBuilder()
            .WithUrl(new Uri(hubAddress, Protocol.ConsoleHubPath), options =>
            {
                // One socket and nothing before it: any hub behind the address serves.
                options.Transports = HttpTransportType.WebSockets;
                options.SkipNegotiation = true;
            })
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .WithSeals()
            .Build();
        _connection.ServerTimeout = _hubSilenceLimit;
        _connection.KeepAliveInterval = _ownPing;
        _connection.On<SessionView>(nameof(IConsoleClient.SessionChanged), view => SessionChanged?.Invoke(view));
        _connection.On<LiveSignal>(nameof(IConsoleClient.Signalled), signal => Signalled?.Invoke(signal));
        _connection.On<BoardView>(nameof(IConsoleClient.BoardChanged), board => BoardChanged?.Invoke(board));
        _connection.On<KitView>(nameof(IConsoleClient.KitChanged), view => KitChanged?.Invoke(view));
        _connection.On<FleetView>(nameof(IConsoleClient.FleetChanged), view => FleetChanged?.Invoke(view));
        _connection.On<KitBoardView>(nameof(IConsoleClient.KitBoardChanged), changed => KitBoardChanged?.Invoke(changed));
        _connection.Closed += _ =>
        {
            _closed.TrySetResult();
            return Task.CompletedTask;
        };
    }

    public event Action? PhaseChanged;

    public event Action<SessionView>? SessionChanged;

    public event Action<LiveSignal>? Signalled;

    public event Action<BoardView>? BoardChanged;

    public event Action<KitView>? KitChanged;

    public event Action<FleetView>? FleetChanged;

    public event Action<KitBoardView>? KitBoardChanged;

    public LinkPhase Phase { get; private set; } = LinkPhase.Connecting;

    public void Start()
    {
        if (!_started)
        {
            _started = true;
            _ = KeepConnected();
        }
    }

    public Task<BoardView> WatchBoard(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<BoardView>(nameof(IConsoleHub.WatchBoard), cancellationToken);

    public Task<WatchReply> WatchSession(SessionId sessionId, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<WatchReply>(nameof(IConsoleHub.WatchSession), Protocol.Version, sessionId, cancellationToken);

    public Task LeaveSession(SessionId sessionId, CancellationToken cancellationToken) =>
        _connection.InvokeAsync(nameof(IConsoleHub.LeaveSession), sessionId, cancellationToken);

    public Task<Receipt> Ask(CommandEnvelope command, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), command, cancellationToken);

    public Task RenewControl(SessionId sessionId, CancellationToken cancellationToken) =>
        _connection.SendAsync(nameof(IConsoleHub.RenewControl), sessionId, cancellationToken);

    public Task<WatchReply> WatchTask(SessionId sessionId, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<WatchReply>(nameof(IConsoleHub.WatchTask), Protocol.Version, sessionId, cancellationToken);

    public Task<ColleaguesReply> ReadColleagues(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<ColleaguesReply>(nameof(IConsoleHub.ReadColleagues), cancellationToken);

    public Task<WatchKitReply> WatchKit(KitId kitId, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<WatchKitReply>(nameof(IConsoleHub.WatchKit), Protocol.Version, kitId, cancellationToken);

    public Task LeaveKit(KitId kitId, CancellationToken cancellationToken) =>
        _connection.InvokeAsync(nameof(IConsoleHub.LeaveKit), kitId, cancellationToken);

    public Task<Receipt> AskKit(KitCommandEnvelope command, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskKit), command, cancellationToken);

    public Task<WatchFleetReply> WatchFleet(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<WatchFleetReply>(nameof(IConsoleHub.WatchFleet), Protocol.Version, cancellationToken);

    public Task LeaveFleet(CancellationToken cancellationToken) => _connection.InvokeAsync(nameof(IConsoleHub.LeaveFleet), cancellationToken);

    public Task<Receipt> AskFleet(FleetCommandEnvelope command, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<Receipt>(nameof(IConsoleHub.AskFleet), command, cancellationToken);

    public Task<LoanChoiceReply> ConsiderLoan(RequestLoan loan, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<LoanChoiceReply>(nameof(IConsoleHub.ConsiderLoan), Protocol.Version, loan, cancellationToken);

    public Task<FleetHistoryReply> ReadFleetHistory(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<FleetHistoryReply>(nameof(IConsoleHub.ReadFleetHistory), cancellationToken);

    public IAsyncEnumerable<FleetPlanProgress> PlanFleet(FleetPlanAsk ask, CancellationToken cancellationToken) =>
        _connection.StreamAsync<FleetPlanProgress>(nameof(IConsoleHub.PlanFleet), ask, cancellationToken);

    public Task<FleetPlanStopped> StopFleetPlan(Guid planId, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<FleetPlanStopped>(nameof(IConsoleHub.StopFleetPlan), planId, cancellationToken);

    public Task<KitBoardView> WatchKitBoard(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<KitBoardView>(nameof(IConsoleHub.WatchKitBoard), cancellationToken);

    public Task<KitTimelineView> ReadKitTimeline(KitTimelineQuery query, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<KitTimelineView>(nameof(IConsoleHub.ReadKitTimeline), query, cancellationToken);

    public Task<AuditReply> ReadAudit(AuditSearch search, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<AuditReply>(nameof(IConsoleHub.ReadAudit), search, cancellationToken);

    public Task<PracticeReply> ReadPractice(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<PracticeReply>(nameof(IConsoleHub.ReadPractice), cancellationToken);

    public Task<DataReply> AskData(DataAsk ask, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<DataReply>(nameof(IConsoleHub.AskData), new DataEnvelope(Protocol.Version, ask), cancellationToken);

    public Task<PeopleReply> ReadPeople(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<PeopleReply>(nameof(IConsoleHub.ReadPeople), cancellationToken);

    public Task<PeopleAnswer> AskPeople(PeopleAct act, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<PeopleAnswer>(nameof(IConsoleHub.AskPeople), new PeopleRequest(act), cancellationToken);

    public Task<StartCardReply> ReadStartCard(SessionId sessionId, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<StartCardReply>(nameof(IConsoleHub.ReadStartCard), sessionId, cancellationToken);

    public Task<ProtocolsReply> ReadProtocols(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<ProtocolsReply>(nameof(IConsoleHub.ReadProtocols), cancellationToken);

    public Task<ConsentTextsReply> ReadConsentTexts(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<ConsentTextsReply>(nameof(IConsoleHub.ReadConsentTexts), cancellationToken);

    public Task<ConsentTextReply> KeepConsentText(ConsentText text, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<ConsentTextReply>(nameof(IConsoleHub.KeepConsentText), text, cancellationToken);

    public Task<ProtocolReply> HandInProtocol(string text, bool keep, CancellationToken cancellationToken) =>
        _connection.InvokeAsync<ProtocolReply>(nameof(IConsoleHub.HandInProtocol), text, keep, cancellationToken);

    public async ValueTask DisposeAsync()
    {
        await _ended.CancelAsync();
        await _connection.DisposeAsync();
        _ended.Dispose();
    }

    // One loop for the first connection and every later one: the library's own reconnecting begins only after a first success and ends after some tries.
    private async Task KeepConnected()
    {
        var attempt = 0;
        while (!_ended.IsCancellationRequested)
        {
            try
            {
                _closed = new TaskCompletionSource();
                await _connection.StartAsync(_ended.Token);
                attempt = 0;
                Enter(LinkPhase.Connected);
                await _closed.Task.WaitAsync(_ended.Token);
            }
            catch (OperationCanceledException) when (_ended.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) when (fault is HttpRequestException or IOException or InvalidOperationException or System.Net.WebSockets.WebSocketException or TimeoutException or OperationCanceledException or Microsoft.AspNetCore.SignalR.HubException)
            {
                // Not connected this time: the phase below says so, and the loop tries again.
            }

            Enter(Phase == LinkPhase.Connecting ? LinkPhase.Connecting : LinkPhase.Reconnecting);
            var delay = TimeSpan.FromSeconds(_retryDelaysSeconds[Math.Min(attempt, _retryDelaysSeconds.Length - 1)]);
            attempt++;
            try
            {
                await Task.Delay(delay, _time, _ended.Token);
            }
            catch (OperationCanceledException)
            {
                return;
            }
        }
    }

    private void Enter(LinkPhase phase)
    {
        if (Phase != phase)
        {
            Phase = phase;
            PhaseChanged?.Invoke();
        }
    }
}
