using Microsoft.AspNetCore.SignalR.Client;

namespace TeleHearing.Site.Agent.Link;

/// <summary>One connection to the hub: what is sent arrives in order or not at all, and the connection says once that it is over.</summary>
/// <remarks>Handlers are called one after another, in the order of what was sent.</remarks>
internal interface IKitConnection : IAsyncDisposable
{
    /// <summary>The connection is over, for whatever reason.</summary>
    event Func<Exception?, Task>? Closed;

    /// <summary>Connects.</summary>
    /// <exception cref="HttpRequestException">The hub does not answer.</exception>
    /// <exception cref="KitNotServedException">It does not let the kit in.</exception>
    Task StartAsync(CancellationToken cancellationToken);

    /// <summary>Asks the hub and waits for its answer. When the connection ends first, whether it was carried out is not known.</summary>
    Task<T> InvokeAsync<T>(string method, object argument, CancellationToken cancellationToken);

    /// <summary>Tells the hub something and waits for nothing.</summary>
    Task SendAsync(string method, object argument, CancellationToken cancellationToken);

    /// <summary>Says what is done when the hub calls.</summary>
    void On<T>(string method, Action<T> handler);
}

/// <summary>A connection of SignalR.</summary>
internal sealed class SignalRConnection(HubConnection connection) : IKitConnection
{
    public event Func<Exception?, Task>? Closed
    {
        add => connection.Closed += value;
        remove => connection.Closed -= value;
    }

    public Task StartAsync(CancellationToken cancellationToken) => connection.StartAsync(cancellationToken);

    public Task<T> InvokeAsync<T>(string method, object argument, CancellationToken cancellationToken) => connection.InvokeAsync<T>(method, argument, cancellationToken);

    public Task SendAsync(string method, object argument, CancellationToken cancellationToken) => connection.SendAsync(method, argument, cancellationToken);

    public void On<T>(string method, Action<T> handler) => connection.On(method, handler);

    public ValueTask DisposeAsync() => connection.DisposeAsync();
}
