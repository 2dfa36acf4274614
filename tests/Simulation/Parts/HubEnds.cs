using System.Security.Claims;
using MediatR;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Links;
using TeleHearing.Simulation.Network;

namespace TeleHearing.Simulation.Parts;

/// <summary>Sees every lease the hub sends, at the moment it is sent.</summary>
internal interface ILeaseWitness
{
    void Sent(LeaseGrant grant);
}

/// <summary>The hub's end of a kit's connection. Calls are served one after another, as the hub's settings say for kits.</summary>
internal sealed class KitHubEnd : IKitClient
{
    private readonly Queue<Func<Task>> _calls = new();
    private readonly IServiceProvider _services;
    private readonly ILeaseWitness _witness;
    private readonly SimCaller _caller;
    private bool _serving;
    private bool _over;

    public KitHubEnd(string connectionId, Line line, KitId kitId, IServiceProvider services, ILeaseWitness witness)
    {
        (ConnectionId, Line, _services, _witness) = (connectionId, line, services, witness);
        _caller = new SimCaller(connectionId, new ClaimsPrincipal(new ClaimsIdentity([new Claim(KitKeyHandler.KitClaim, kitId.Value), new Claim(ClaimTypes.NameIdentifier, kitId.Value)], "simulated")), line.CloseAsHub);
        var heard = new LinkHeard(line.Hub.Clock);
        _caller.Features.Set(heard);
        line.HeardByHub += heard.Note;
        line.HubClosed += () =>
        {
            _over = true;
            Serve(async hub => await hub.OnDisconnectedAsync(null), null);
        };
    }

    public string ConnectionId { get; }

    public Line Line { get; }

    /// <summary>What the kit's program does when it is called; absent before it listens.</summary>
    public Action<string, object>? Client { get; set; }

    /// <summary>Serves one call of the kit.</summary>
    public void Serve(string method, object argument, Action<object?, Exception?> answer)
    {
        if (!_over)
        {
            Serve(
                async hub => answer(
                    method switch
                    {
                        nameof(IKitHub.Challenge) => await hub.Challenge((string)argument),
                        nameof(IKitHub.Hello) => await hub.Hello((KitHello)argument),
                        nameof(IKitHub.Report) => await hub.Report((SignedReports)argument),
                        nameof(IKitHub.Wiped) => await hub.Wiped((SignedWipe)argument),
                        nameof(IKitHub.Signal) => await Signal(hub, (LiveSignal)argument),
                        _ => throw new ArgumentOutOfRangeException(nameof(method), method, "No kit asks that."),
                    },
                    null),
                fault => answer(null, fault));
        }
    }

    public Task Carry(SignedOrder order) => Call(nameof(IKitClient.Carry), order, free: true);

    public Task Cut(StepId stepId) => Call(nameof(IKitClient.Cut), stepId, free: true);

    public Task RenewLease(LeaseGrant lease)
    {
        _witness.Sent(lease);
        return Call(nameof(IKitClient.RenewLease), lease, free: true);
    }

    public Task ShowScene(KitScene scene) => Call(nameof(IKitClient.ShowScene), scene, free: false);

    public Task Wipe(WipeOrder order) => Call(nameof(IKitClient.Wipe), order, free: false);

    public Task Revoked(string reason) => Call(nameof(IKitClient.Revoked), reason, free: false);

    private static async Task<object?> Signal(KitHub hub, LiveSignal signal)
    {
        await hub.Signal(signal);
        return null;
    }

    private Task Call(string method, object argument, bool free)
    {
        Line.ToClient(method, () => Client?.Invoke(method, argument), free);
        return Task.CompletedTask;
    }

    private void Serve(Func<KitHub, Task> call, Action<Exception>? fault)
    {
        _calls.Enqueue(async () =>
        {
            await using var scope = _services.CreateAsyncScope();
            using var hub = new KitHub(scope.ServiceProvider.GetRequiredService<IMediator>()) { Context = _caller };
            try
            {
                await call(hub);
            }
            catch (Exception thrown) when (fault is not null)
            {
                fault(thrown);
            }
        });
        if (!_serving)
        {
            _serving = true;
            Line.Hub.Begin(async () =>
            {
                while (_calls.TryDequeue(out var next))
                {
                    await next();
                }

                _serving = false;
            });
        }
    }
}

/// <summary>The hub's end of a console's connection. Several calls may be served at once.</summary>
internal sealed class ConsoleHubEnd : IConsoleClient
{
    private readonly IServiceProvider _services;
    private readonly SimCaller _caller;
    private readonly Action<SessionView> _shows;

    public ConsoleHubEnd(string connectionId, Line line, SignedInPerson person, IServiceProvider services, Action<SessionView> shows)
    {
        (ConnectionId, Line, _services, _shows) = (connectionId, line, services, shows);
        _caller = new SimCaller(connectionId, person.Principal, line.CloseAsHub);
        line.HubClosed += () => Serve(async hub => await hub.OnDisconnectedAsync(null), _ => { });
    }

    public string ConnectionId { get; }

    public Line Line { get; }

    /// <summary>A part of the hub, for what a console sends beside its link.</summary>
    public T Get<T>()
        where T : notnull => _services.GetRequiredService<T>();

    /// <summary>Serves one call of the console.</summary>
    public void Serve(Func<ConsoleHub, Task> call, Action<Exception> fault) => Line.Hub.Begin(async () =>
    {
        await using var scope = _services.CreateAsyncScope();
        using var hub = new ConsoleHub(scope.ServiceProvider.GetRequiredService<IMediator>(), scope.ServiceProvider.GetRequiredService<Broadcaster>(), scope.ServiceProvider.GetRequiredService<ControlLeases>()) { Context = _caller };
        try
        {
            await call(hub);
        }
        catch (Exception thrown)
        {
            fault(thrown);
        }
    });

    public Task SessionChanged(SessionView view)
    {
        Line.ToClient(nameof(SessionChanged), () => _shows(view));
        return Task.CompletedTask;
    }

    // The simulated console shows one session and nothing else.
    public Task Signalled(LiveSignal signal) => Task.CompletedTask;

    public Task BoardChanged(BoardView board) => Task.CompletedTask;

    public Task KitChanged(KitView view) => Task.CompletedTask;

    public Task FleetChanged(FleetView view) => Task.CompletedTask;

    public Task KitBoardChanged(KitBoardView changed) => Task.CompletedTask;
}
