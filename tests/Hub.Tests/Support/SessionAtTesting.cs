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

    public static async Task<SessionAtTesting> Start()
    {
        var hub = await RunningHub.Start();
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        var console = await hub.Console(clinician);
        await console.Watch(session);
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        return new SessionAtTesting(hub, kit, console, session);
    }

    public async ValueTask DisposeAsync()
    {
        await Console.DisposeAsync();
        await Kit.DisposeAsync();
        await Hub.DisposeAsync();
    }
}
