using System.Globalization;
using System.Runtime;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Testing;

namespace TeleHearing.Benchmarks.HubLoad;

/// <summary>What a client needs to take a seat at a desk of the hub.</summary>
/// <param name="Link">Sign-in link of the clinician.</param>
/// <param name="Kit">Kit of the session.</param>
/// <param name="Code">Its enrolment code.</param>
/// <param name="Session">The session.</param>
/// <param name="Reference">The person tested.</param>
internal sealed record Seat(string Link, string Kit, string Code, SessionId Session, string Reference);

/// <summary>What a server says when it listens.</summary>
internal sealed record Listening(Uri Address, IReadOnlyList<Seat> Seats);

/// <summary>Memory of a server after all that is garbage was collected, in bytes.</summary>
/// <param name="Heap">Objects that live.</param>
/// <param name="Anonymous">Memory of the process that is no file (RssAnon of proc(5)).</param>
internal sealed record Memory(long Heap, long Anonymous);

/// <summary>The hub, or a bare relay, as a process of its own: it says where it listens, and answers on its standard input.</summary>
internal static class Server
{
    public const string Verb = "serve-for-figures";

    public const string AskMemory = "memory";

    public const string AskCompiled = "compiled";

    /// <summary>The bare relay.</summary>
    public const string RelayKind = "relay";

    /// <summary>The hub without limits on what one connection may ask.</summary>
    public const string HubKind = "hub";

    /// <summary>The hub as it is delivered.</summary>
    public const string LimitedKind = "limited-hub";

    public static async Task<int> Run(string[] args)
    {
        using var folder = new TempFolder();
        var seats = int.Parse(args[1], CultureInfo.InvariantCulture);
        await using var app = args[0] == RelayKind ? Relay() : Hub(folder.Path, args[0] == LimitedKind);
        await app.StartAsync();
        var listening = new Listening(new Uri(app.Urls.Single()), args[0] != RelayKind ? await Seats(app.Services, seats) : []);
        Console.WriteLine(JsonSerializer.Serialize(listening, Protocol.Json));
        while (await Console.In.ReadLineAsync() is { } line)
        {
            Console.WriteLine(line == AskCompiled ? JsonSerializer.Serialize(JitInfo.GetCompilationTime()) : JsonSerializer.Serialize(Measure()));
        }

        await app.StopAsync();
        return 0;
    }

    private static Memory Measure()
    {
        for (var round = 0; round < 3; round++)
        {
            GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
            GC.WaitForPendingFinalizers();
        }

        var line = File.ReadLines("/proc/self/status").First(found => found.StartsWith("RssAnon:", StringComparison.Ordinal));
        return new Memory(GC.GetTotalMemory(forceFullCollection: true), long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2], CultureInfo.InvariantCulture) * 1024);
    }

    private static WebApplication Hub(string folder, bool limited) => HubHost.Build(
        new HubSettings { DataFolder = folder, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false },
        services =>
        {
            if (!limited)
            {
                // What the hub can do, not what one connection may ask of it.
                services.AddSingleton(new CallRates(1_000_000, 1_000_000, 1_000_000, 1_000_000));
            }
        });

    private static WebApplication Relay()
    {
        var builder = WebApplication.CreateBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls("http://127.0.0.1:0");
        builder.Services.AddSignalR();
        var app = builder.Build();
        app.MapHub<PairHub>(RelayPair.Path);
        return app;
    }

    private static async Task<IReadOnlyList<Seat>> Seats(IServiceProvider services, int count)
    {
        var (people, kits, links, schedule) = (services.GetRequiredService<PeopleAdmin>(), services.GetRequiredService<KitFleet>(), services.GetRequiredService<SignInLinks>(), services.GetRequiredService<SessionSchedule>());
        var seats = new List<Seat>();
        for (var number = 1; number <= count; number++)
        {
            var name = number.ToString("0000", CultureInfo.InvariantCulture);
            var (person, kit, reference) = (await people.Enter("Clinician " + name, [Roles.Clinician], CancellationToken.None), new KitId("kit-" + name), "P-" + name);
            await kits.Enter(kit, "loan kit", "shelf", CancellationToken.None);
            var plan = new SessionPlan(new PersonTested(reference, "Ottilie Brandvold", new DateOnly(1951, 3, 4), "first test"), "at home", TimeProvider.System.GetUtcNow(), kit, person);
            seats.Add(new Seat(await links.Issue(person, CancellationToken.None), kit.Value, await kits.IssueEnrolmentCode(kit, CancellationToken.None), await schedule.Plan(plan, CancellationToken.None), reference));
        }

        return seats;
    }

    /// <summary>Passes a text to one connection.</summary>
    internal sealed class PairHub : Microsoft.AspNetCore.SignalR.Hub
    {
        /// <summary>A connection made without negotiation does not know its own name.</summary>
        public string Name() => Context.ConnectionId;

        public Task Pass(string to, string text) => Clients.Client(to).SendAsync("Passed", text);
    }
}
