using System.Net;
using System.Net.Sockets;

namespace TeleHearing.Hub.Cli;

/// <summary>Ports of this machine.</summary>
internal static class LoopbackPorts
{
    /// <summary>How many ports after the first are tried.</summary>
    private const int Tries = 50;

    /// <summary>Whether nobody listens on a port of either loopback address.</summary>
    public static bool IsFree(int port) => CanListen(IPAddress.Loopback, port) && (!Socket.OSSupportsIPv6 || CanListen(IPAddress.IPv6Loopback, port));

    /// <summary>The first free port from this one on.</summary>
    /// <exception cref="CliFault">None of the next ones is free.</exception>
    public static int FirstFree(int preferred) =>
        Enumerable.Range(preferred, Tries).Cast<int?>().FirstOrDefault(port => IsFree(port!.Value))
        ?? throw new CliFault($"No port from {preferred} to {preferred + Tries - 1} is free on this machine. End the programs that hold them.", ExitCodes.Failed);

    /// <summary>A port the user asked for, if any.</summary>
    /// <exception cref="CliFault">It is in use.</exception>
    public static int? Given(int? port, string option) => port is not { } asked || IsFree(asked)
        ? port
        : throw new CliFault($"Port {asked} is in use. Nothing was started. End the program that holds it, or give another {option}.");

    private static bool CanListen(IPAddress address, int port)
    {
        try
        {
            using var listener = new TcpListener(address, port);
            listener.Start();
            return true;
        }
        catch (SocketException fault) when (fault.SocketErrorCode is SocketError.AddressNotAvailable or SocketError.AddressFamilyNotSupported)
        {
            // The machine has no such address: nobody can hold a port of it either.
            return true;
        }
        catch (SocketException)
        {
            return false;
        }
    }
}
