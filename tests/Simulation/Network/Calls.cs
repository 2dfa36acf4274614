using Microsoft.AspNetCore.SignalR;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Network;

/// <summary>The client's end of a connection: asks, and waits for answers as long as the connection lives.</summary>
internal sealed class Calls
{
    private readonly Dictionary<long, Action<object?, Exception?>> _waiting = [];
    private readonly Line _line;
    private long _number;

    public Calls(Line line)
    {
        _line = line;
        line.ClientClosed += Fail;
    }

    /// <summary>Asks and waits for the answer.</summary>
    /// <param name="method">What is asked.</param>
    /// <param name="serve">What answers it, on the hub.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    /// <param name="free">See <see cref="Line.ToHub"/>.</param>
    /// <exception cref="IOException">The connection ended; whether it was carried out is not known.</exception>
    public async Task<T> Ask<T>(string method, Action<Action<object?, Exception?>> serve, CancellationToken cancellationToken, bool free = false)
    {
        if (!_line.ClientOpen)
        {
            throw new IOException("The connection is not there.");
        }

        var answered = new TaskCompletionSource<T>(TaskCreationOptions.RunContinuationsAsynchronously);
        var number = ++_number;
        _waiting.Add(number, (answer, fault) =>
        {
            if (fault is null)
            {
                answered.TrySetResult((T)answer!);
            }
            else
            {
                answered.TrySetException(fault);
            }
        });
        _line.ToHub(method, () => serve((answer, fault) => Answer(method, number, answer, fault)), free);
        using var stops = cancellationToken.Register(() => answered.TrySetCanceled(cancellationToken));
        return await answered.Task;
    }

    private void Answer(string method, long number, object? answer, Exception? fault) => _line.ToClient(
        method + " answered",
        () =>
        {
            if (_waiting.Remove(number, out var done))
            {
                // What went wrong inside a hub is told to nobody outside.
                done(answer, fault is null or HubException ? fault : new HubException("An unexpected error occurred."));
            }
        });

    private void Fail()
    {
        foreach (var done in _waiting.Values.ToArray())
        {
            done(null, new IOException("The connection ended before the answer came."));
        }

        _waiting.Clear();
    }
}

/// <summary>What a hub knows of a connection.</summary>
internal sealed class SimCaller(string connectionId, System.Security.Claims.ClaimsPrincipal user, Action abort) : HubCallerContext
{
    public override string ConnectionId => connectionId;

    public override string? UserIdentifier => null;

    public override System.Security.Claims.ClaimsPrincipal? User => user;

    public override IDictionary<object, object?> Items { get; } = new Dictionary<object, object?>();

    public override Microsoft.AspNetCore.Http.Features.IFeatureCollection Features { get; } = new Microsoft.AspNetCore.Http.Features.FeatureCollection();

    /// <summary>Never cancelled: what was asked for on a connection that broke is answered to nobody.</summary>
    public override CancellationToken ConnectionAborted => CancellationToken.None;

    public override void Abort() => abort();
}

/// <summary>Where a hub finds its clients.</summary>
internal sealed class SimHubContext<THub, T>(Func<string, T> client) : IHubContext<THub, T>
    where THub : Hub<T>
    where T : class
{
    public IHubClients<T> Clients { get; } = new ByName<T>(client);

    public IGroupManager Groups => throw new NotSupportedException("The hub names its clients one by one.");
}

/// <summary>Clients by the names of their connections.</summary>
internal sealed class ByName<T>(Func<string, T> client) : IHubClients<T>
{
    public T All => throw new NotSupportedException("The hub names its clients one by one.");

    public T Client(string connectionId) => client(connectionId);

    public T AllExcept(IReadOnlyList<string> excludedConnectionIds) => All;

    public T Clients(IReadOnlyList<string> connectionIds) => All;

    public T Group(string groupName) => All;

    public T Groups(IReadOnlyList<string> groupNames) => All;

    public T GroupExcept(string groupName, IReadOnlyList<string> excludedConnectionIds) => All;

    public T User(string userId) => All;

    public T Users(IReadOnlyList<string> userIds) => All;
}
