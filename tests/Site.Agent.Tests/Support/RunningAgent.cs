using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Support;

/// <summary>The whole agent in the test's process, linked to a hub, with a simulated person and no screen.</summary>
internal sealed class RunningAgent : IAsyncDisposable
{
    private readonly IHost _host;

    private RunningAgent(IHost host, RunOptions options) => (_host, Options) = (host, options);

    public RunOptions Options { get; }

    public static RunOptions OptionsFor(TempFolder folder, Uri hub, Pace pace = Pace.Fast, CertificateChoice certificate = CertificateChoice.Valid)
    {
        Provisioner.Write(folder.Path, certificate, TimeProvider.System);
        return new RunOptions(hub, folder.Path, null, "GOOD", Simulation.DemoName, 1, Simulation.QuietName, pace, Scripted: true, folder.Inside("played.wav"));
    }

    public static async Task<RunningAgent> StartAsync(RunOptions options, Action<IServiceCollection>? change = null)
    {
        var builder = Host.CreateApplicationBuilder(new HostApplicationBuilderSettings { DisableDefaults = true });
        builder.Logging.ClearProviders();
        builder.Services.AddAgent(options);
        change?.Invoke(builder.Services);
        var agent = new RunningAgent(builder.Build(), options);
        await agent._host.StartAsync(TestContext.Current.CancellationToken);
        return agent;
    }

    public T Get<T>()
        where T : notnull => _host.Services.GetRequiredService<T>();

    public async ValueTask DisposeAsync()
    {
        await _host.StopAsync(CancellationToken.None);
        if (_host is IAsyncDisposable disposable)
        {
            await disposable.DisposeAsync();
        }
    }
}
