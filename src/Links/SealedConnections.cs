using System.IO.Pipelines;
using System.Net;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Http.Connections.Client;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;

namespace TeleHearing.Links;

/// <summary>Has the connections of a SignalR client sealed.</summary>
public static class SealedConnections
{
    /// <summary>Seals every connection this builder's client makes, each with a key of its own. Call it after the address is given.</summary>
    /// <param name="builder">Builder of a client with an address.</param>
    /// <param name="caught">Told of a record that did not come as it was sent; the connection then closes by itself.</param>
    public static IHubConnectionBuilder WithSeals(this IHubConnectionBuilder builder, Action<LinkFaultException>? caught = null)
    {
        ArgumentNullException.ThrowIfNull(builder);
        var plain = builder.Services.Last(service => service.ServiceType == typeof(IConnectionFactory));
        builder.Services.Remove(plain);
        builder.Services.AddSingleton<IConnectionFactory>(services => new Factory(
            (IConnectionFactory)ActivatorUtilities.CreateInstance(services, plain.ImplementationType!),
            services.GetRequiredService<IOptions<HttpConnectionOptions>>().Value,
            caught));
        return builder;
    }

    private sealed class Factory(IConnectionFactory plain, HttpConnectionOptions options, Action<LinkFaultException>? caught) : IConnectionFactory
    {
        public async ValueTask<ConnectionContext> ConnectAsync(EndPoint endPoint, CancellationToken cancellationToken = default)
        {
            var key = LinkKey.Make();

            // The plain factory asks that both addresses are the same.
            options.Url = LinkKey.Put(((UriEndPoint)endPoint).Uri, key);
            return new Connection(await plain.ConnectAsync(new UriEndPoint(options.Url), cancellationToken).ConfigureAwait(false), key, caught);
        }
    }

    /// <summary>A connection whose two directions are sealed; all else is the plain one's.</summary>
    private sealed class Connection(ConnectionContext plain, byte[] key, Action<LinkFaultException>? caught) : ConnectionContext
    {
        public override IDuplexPipe Transport { get; set; } = SealedPipe.AtClient(plain.Transport, key, caught);

        public override string ConnectionId
        {
            get => plain.ConnectionId;
            set => plain.ConnectionId = value;
        }

        public override IFeatureCollection Features => plain.Features;

        public override IDictionary<object, object?> Items
        {
            get => plain.Items;
            set => plain.Items = value;
        }

        public override CancellationToken ConnectionClosed
        {
            get => plain.ConnectionClosed;
            set => plain.ConnectionClosed = value;
        }

        public override EndPoint? LocalEndPoint
        {
            get => plain.LocalEndPoint;
            set => plain.LocalEndPoint = value;
        }

        public override EndPoint? RemoteEndPoint
        {
            get => plain.RemoteEndPoint;
            set => plain.RemoteEndPoint = value;
        }

        public override void Abort() => plain.Abort();

        public override void Abort(ConnectionAbortedException abortReason) => plain.Abort(abortReason);

        public override ValueTask DisposeAsync() => plain.DisposeAsync();
    }
}
