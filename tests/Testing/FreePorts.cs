using System.Net;
using System.Net.Sockets;

namespace TeleHearing.Testing;

/// <summary>Loopback ports nobody listens on.</summary>
public static class FreePorts
{
    /// <summary>A port that was free a moment ago, as the system hands them out.</summary>
    public static int Take()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }

    /// <summary>Listens on a port until disposed, so that it is taken.</summary>
    public static IDisposable Occupy(out int port)
    {
        var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        port = ((IPEndPoint)listener.LocalEndpoint).Port;
        return listener;
    }
}
