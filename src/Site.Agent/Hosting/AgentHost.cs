using System.Net;
using System.Net.Sockets;
using Serilog;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Screen;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>Puts the agent together and runs it until it is told to end or cannot go on.</summary>
internal static class AgentHost
{
    /// <summary>How many ports above the wanted one are tried.</summary>
    private const int PortsTried = 50;

    /// <summary>Runs the agent.</summary>
    /// <exception cref="FatalFaultException">It cannot start or cannot go on.</exception>
    public static async Task RunAsync(RunOptions options, CancellationToken cancellationToken)
    {
        Directory.CreateDirectory(options.DataFolder);
        using var folder = await KitFolderLock.TakeAsync(options.DataFolder, TimeProvider.System, cancellationToken);
        using var logger = AgentLogging.Make(options.DataFolder);
        using var host = Build(options, logger, out var port);

        // A kit folder, listener or room that cannot be used shows here and ends in one line; inside the host's start it would be logged as a crash.
        host.Services.GetRequiredService<AudioEngine>();
        await host.StartAsync(cancellationToken);
        if (port is not null)
        {
            Console.Out.WriteLine($"kit screen: http://localhost:{port}");
        }

        if (options.EndWithInput)
        {
            _ = EndWithInput(host.Services.GetRequiredService<IHostApplicationLifetime>());
        }

        await host.WaitForShutdownAsync(cancellationToken);
        if (host.Services.GetRequiredService<FatalFaults>().First is { } fault)
        {
            throw fault;
        }
    }

    /// <summary>The input is a pipe held open by the program that started this one; it closes with that program, however it ended.</summary>
    private static async Task EndWithInput(IHostApplicationLifetime lifetime)
    {
        await using var input = Console.OpenStandardInput();
        var buffer = new byte[256];
        while (await input.ReadAsync(buffer) > 0)
        {
            // What is written there means nothing; only its end does.
        }

        lifetime.StopApplication();
    }

    private static IHost Build(RunOptions options, Serilog.ILogger logger, out int? port)
    {
        port = null;
        if (options.ScreenPort is not { } wanted)
        {
            var plain = Host.CreateApplicationBuilder(new HostApplicationBuilderSettings { ContentRootPath = AppContext.BaseDirectory });
            plain.Services.AddSerilog(logger);
            plain.Services.AddAgent(options);
            return plain.Build();
        }

        var free = FreePort(wanted);
        if (free != wanted && wanted != 0)
        {
            Console.Out.WriteLine($"port {wanted} is taken; the kit screen uses {free}");
        }

        var builder = WebApplication.CreateBuilder(new WebApplicationOptions
        {
            ContentRootPath = AppContext.BaseDirectory,
            ApplicationName = typeof(AgentHost).Assembly.GetName().Name,
        });
        builder.WebHost.UseStaticWebAssets();
        builder.WebHost.ConfigureKestrel(kestrel => kestrel.Listen(IPAddress.Loopback, free));
        // no page of another site may reach the kit under a name of its own
        builder.Configuration["AllowedHosts"] = "localhost;127.0.0.1";
        builder.Services.AddSerilog(logger);
        builder.Services.AddAgent(options);
        builder.Services.AddKitScreen();
        var app = builder.Build();
        app.MapKitScreen();
        port = free;
        return app;
    }

    private static int FreePort(int wanted)
    {
        for (var port = wanted; port < wanted + PortsTried; port++)
        {
            try
            {
                using var probe = new TcpListener(IPAddress.Loopback, port);
                probe.Start();
                return ((IPEndPoint)probe.LocalEndpoint).Port;
            }
            catch (SocketException)
            {
                // taken; the next one may be free
            }
        }

        throw new FatalFaultException($"No port from {wanted} to {wanted + PortsTried - 1} is free for the kit screen. Choose another with --screen.");
    }
}
