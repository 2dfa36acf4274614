using Microsoft.AspNetCore.SignalR;

namespace TeleHearing.Clinician.Web.State;

/// <summary>Which exceptions mean "the link or the hub failed on the way", as opposed to a fault of this program.</summary>
internal static class LinkFaults
{
    public static bool Covers(Exception fault) =>
        fault is HubException or IOException or TimeoutException or OperationCanceledException or InvalidOperationException or HttpRequestException or System.Net.WebSockets.WebSocketException;
}
