using System.Net;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Tests.Support;

/// <summary>A hub over real sockets with one session at testing: a clinician in control and a kit that is connected.</summary>
internal sealed class SessionAtTesting : IAsyncDisposable
{
    private SessionAtTesting(RunningHub hub, TestKit kit, TestConsole console, SessionId session) => (Hub, Kit, Console, Session) = (hub, kit, console, session);

    public RunningHub Hub { get; }

    public TestKit Kit { get; }

    /// <summary>The console of the clinician in control.</summary>
    public TestConsole Console { get; }

    public SessionId Session { get; }

    /// <summary>The sign-in of that clinician.</summary>
    public required CookieContainer Cookies { get; init; }

    /// <summary>The account of that clinician.</summary>
    public required string Clinician { get; init; }

    public static async Task<SessionAtTesting> Start(Action<IServiceCollection>? configure = null)
    {
        var hub = await RunningHub.Start(configure: configure);
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        var cookies = await hub.SignIn(clinician);
        var console = await hub.Console(cookies);
        await console.Watch(session);
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        return new SessionAtTesting(hub, kit, console, session) { Cookies = cookies, Clinician = clinician };
    }

    public async ValueTask DisposeAsync()
    {
        await Console.DisposeAsync();
        await Kit.DisposeAsync();
        await Hub.DisposeAsync();
    }
}
