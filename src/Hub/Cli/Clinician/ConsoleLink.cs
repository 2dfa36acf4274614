using System.Net;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Links;

namespace TeleHearing.Hub.Cli.Clinician;

/// <summary>A console without a screen: signs in through a single-use link as a browser does, watches one session and asks for things.</summary>
/// <remarks>An ordinary client of the hub with no knowledge of its inside. It connects again by itself, for as long as it lives, when the hub goes away.</remarks>
internal sealed class ConsoleLink : IAsyncDisposable
{
    private static readonly TimeSpan _retryDelay = TimeSpan.FromMilliseconds(200);

    /// <summary>A try to connect that hangs is given up.</summary>
    private static readonly TimeSpan _longestTry = TimeSpan.FromSeconds(15);

    private static readonly TimeSpan _askLifetime = TimeSpan.FromSeconds(10);

    private readonly TimeProvider _clock;
    private readonly HttpClientHandler _handler;
    private readonly HttpClient _http;
    private readonly HubConnection _connection;
    private readonly CancellationTokenSource _ending = new();
    private readonly Lock _gate = new();
    private SessionId? _watched;
    private SessionView? _view;
    private TimeSpan _hubAhead;
    private TaskCompletionSource _changed = NewSignal();
    private TaskCompletionSource _connected = NewSignal();
    private bool _connecting;
    private int _connections;

    public ConsoleLink(Uri hub, TimeProvider clock)
    {
        _clock = clock;
        _handler = new HttpClientHandler { CookieContainer = new CookieContainer(), UseProxy = false, AllowAutoRedirect = false };
        _http = new HttpClient(_handler) { BaseAddress = hub };
        var builder = new HubConnectionBuilder().WithUrl(new Uri(hub, Protocol.ConsoleHubPath), options =>
        {
            options.Cookies = _handler.CookieContainer;
            options.Transports = HttpTransportType.WebSockets;
            options.SkipNegotiation = true;
        });
        builder.AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions));
        builder.WithSeals(fault => Caught?.Invoke(fault));
        _connection = builder.Build();
        _connection.ServerTimeout = TimeSpan.FromSeconds(6);
        _connection.KeepAliveInterval = TimeSpan.FromSeconds(2);
        _connection.On<SessionView>(nameof(IConsoleClient.SessionChanged), Take);
        _connection.On<LiveSignal>(nameof(IConsoleClient.Signalled), signal => Signalled?.Invoke(signal));
        _connection.Closed += _ => Lost();
    }

    /// <summary>A live signal of the watched session came.</summary>
    public event Action<LiveSignal>? Signalled;

    /// <summary>The hub answered something asked.</summary>
    public event Action<CommandEnvelope, Receipt>? Answered;

    /// <summary>A record did not come as the hub sent it.</summary>
    public event Action<LinkFaultException>? Caught;

    /// <summary>Cookies of the sign-in, for further connections of the same person.</summary>
    public CookieContainer Cookies => _handler.CookieContainer;

    /// <summary>Who is signed in.</summary>
    public Me? Who { get; private set; }

    /// <summary>The newest picture of the watched session.</summary>
    public SessionView View
    {
        get
        {
            lock (_gate)
            {
                return _view ?? throw new InvalidOperationException("No session is watched yet.");
            }
        }
    }

    /// <summary>Uses up a single-use sign-in link, as its page's button does, and connects.</summary>
    /// <exception cref="HttpRequestException">The link is not good or the hub cannot be reached.</exception>
    public async Task SignIn(Uri link, CancellationToken cancellationToken)
    {
        using var page = await _http.GetAsync(link, cancellationToken);
        page.EnsureSuccessStatusCode();
        using var form = FormToken.Form(await page.Content.ReadAsStringAsync(cancellationToken));
        using var answer = await _http.PostAsync(link, form, cancellationToken);
        if (answer.StatusCode is not (HttpStatusCode.Redirect or HttpStatusCode.SeeOther))
        {
            throw new HttpRequestException($"The sign-in link was not taken: {(int)answer.StatusCode}.", null, answer.StatusCode);
        }

        await Enter(cancellationToken);
    }

    /// <summary>Connects with the cookies of a sign-in made elsewhere.</summary>
    /// <exception cref="HttpRequestException">They do not count, or the hub cannot be reached.</exception>
    public Task SignIn(CookieCollection cookies, CancellationToken cancellationToken)
    {
        _handler.CookieContainer.Add(cookies);
        return Enter(cancellationToken);
    }

    private async Task Enter(CancellationToken cancellationToken)
    {
        Who = await _http.GetFromJsonAsync<Me>("/api/me", Protocol.Json, cancellationToken);
        await Connect(cancellationToken);
        lock (_gate)
        {
            _connected.TrySetResult();
        }

        _ = StayPresent();
    }

    /// <summary>The start page now.</summary>
    public Task<BoardView> Board(CancellationToken cancellationToken) =>
        _connection.InvokeAsync<BoardView>(nameof(IConsoleHub.WatchBoard), cancellationToken);

    /// <summary>Watches a session from now on.</summary>
    /// <returns>Absent when watched; why not, otherwise.</returns>
    public async Task<Refusal?> Watch(SessionId sessionId, CancellationToken cancellationToken)
    {
        var reply = await _connection.InvokeAsync<WatchReply>(nameof(IConsoleHub.WatchSession), Protocol.Version, sessionId, cancellationToken);
        if (reply.View is not { } view)
        {
            return reply.Refusal ?? throw new InvalidOperationException("The hub answered a watch with neither a picture nor a refusal.");
        }

        _watched = sessionId;
        Take(view);
        return null;
    }

    /// <summary>The first picture, now or to come, that fits.</summary>
    public async Task<SessionView> Until(Func<SessionView, bool> fits, CancellationToken cancellationToken)
    {
        while (true)
        {
            Task changed;
            SessionView? view;
            lock (_gate)
            {
                view = _view;
                changed = _changed.Task;
            }

            if (view is not null && fits(view))
            {
                return view;
            }

            await changed.WaitAsync(cancellationToken);
        }
    }

    /// <summary>Asks for something on the strength of the picture shown now. When the answer is lost with the connection, asks again under the same id.</summary>
    public Task<Receipt> Ask(SessionCommand command, CancellationToken cancellationToken)
    {
        var view = View;
        return Ask(new CommandEnvelope(Protocol.Version, CommandId.New(), view.SessionId, view.Control.Epoch, view.Version, _clock.GetUtcNow() + _hubAhead + _askLifetime, command), cancellationToken);
    }

    /// <summary>Sends an envelope as it is, again and again until an answer arrives.</summary>
    public async Task<Receipt> Ask(CommandEnvelope envelope, CancellationToken cancellationToken)
    {
        while (true)
        {
            await Connected().WaitAsync(cancellationToken);
            var connection = Volatile.Read(ref _connections);
            try
            {
                var receipt = await _connection.InvokeAsync<Receipt>(nameof(IConsoleHub.Ask), envelope, cancellationToken);
                Answered?.Invoke(envelope, receipt);
                return receipt;
            }
            catch (Exception fault) when (fault is not (OperationCanceledException or OutOfMemoryException))
            {
                // The end of a connection is told a moment after what was under way on it has failed.
                await Task.Delay(_retryDelay, _clock, cancellationToken);
                if (connection == Volatile.Read(ref _connections) && _connection.State == HubConnectionState.Connected)
                {
                    throw;
                }

                // Whether it was carried out is not known; the hub knows by the id.
            }
            catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
            {
                // The connection ended while the answer was on its way.
            }
        }
    }

    /// <summary>Reads something over HTTP with the same sign-in.</summary>
    /// <exception cref="HttpRequestException">The hub does not give it.</exception>
    public Task<byte[]> Read(string path, CancellationToken cancellationToken) => _http.GetByteArrayAsync(path, cancellationToken);

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        await _connection.DisposeAsync();
        _http.Dispose();
        _handler.Dispose();
        _ending.Dispose();
    }

    private static TaskCompletionSource NewSignal() => new(TaskCreationOptions.RunContinuationsAsynchronously);

    private Task Connected()
    {
        lock (_gate)
        {
            return _connected.Task;
        }
    }

    private async Task Connect(CancellationToken cancellationToken)
    {
        if (_connection.State == HubConnectionState.Disconnected)
        {
            await _connection.StartAsync(cancellationToken);
            Interlocked.Increment(ref _connections);
        }

        if (_watched is { } session)
        {
            await Watch(session, cancellationToken);
        }
    }

    /// <summary>Says again and again that somebody is here: control of a silent console lapses.</summary>
    private async Task StayPresent()
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(Protocol.ControlRenewalMs), _clock);
        try
        {
            while (await timer.WaitForNextTickAsync(_ending.Token))
            {
                if (_watched is { } session && _connection.State == HubConnectionState.Connected)
                {
                    await _connection.SendAsync(nameof(IConsoleHub.RenewControl), session, _ending.Token);
                }
            }
        }
        catch (OperationCanceledException) when (_ending.IsCancellationRequested)
        {
            // The console is closed.
        }
        catch (Exception fault) when (fault is InvalidOperationException or IOException or OperationCanceledException)
        {
            // The link broke in the middle of it; the next one says it.
            _ = StayPresent();
        }
    }

    /// <summary>The one loop that connects again. An end that is told late, when the next connection already stands or is being made, begins no second one.</summary>
    private async Task Lost()
    {
        lock (_gate)
        {
            if (_connection.State == HubConnectionState.Connected)
            {
                return;
            }

            if (_connecting)
            {
                return;
            }

            // Made once for an outage, however often its end is told: somebody may wait for it already.
            (_connecting, _connected) = (true, NewSignal());
        }

        while (!_ending.IsCancellationRequested)
        {
            try
            {
                using var limit = new CancellationTokenSource(_longestTry, _clock);
                using var either = CancellationTokenSource.CreateLinkedTokenSource(limit.Token, _ending.Token);
                await Connect(either.Token);
                lock (_gate)
                {
                    if (_connection.State == HubConnectionState.Connected)
                    {
                        _connecting = false;
                        _connected.TrySetResult();
                        return;
                    }
                }
            }
            catch (OperationCanceledException) when (_ending.IsCancellationRequested)
            {
                return;
            }
            catch (Exception fault) when (fault is not OutOfMemoryException)
            {
                // The hub is not back yet, or went again in the middle of it: whatever it was, the answer is to try again.
            }

            try
            {
                await Task.Delay(_retryDelay, _clock, _ending.Token);
            }
            catch (OperationCanceledException)
            {
                return;
            }
        }
    }

    private void Take(SessionView view)
    {
        TaskCompletionSource changed;
        lock (_gate)
        {
            // A log found damaged counts only as far as it is whole, so its picture may be older than the one shown before.
            if (_view is { } shown && view.Version < shown.Version && view.SessionId == shown.SessionId && view.Integrity.Valid)
            {
                return;
            }

            _view = view;
            _hubAhead = view.HubTime - _clock.GetUtcNow();
            changed = _changed;
            _changed = NewSignal();
        }

        changed.TrySetResult();
    }
}
