using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using TeleHearing.Simulation.Parts;

namespace TeleHearing.Simulation.Tests;

/// <summary>A service that a host would start is not left out of the simulation unseen.</summary>
public sealed class HostedServicesTests
{
    [Fact]
    public void WhatIsNeitherRunNorNamedIsAnError()
    {
        var services = new ServiceCollection().AddHostedService<First>().AddHostedService(_ => new Second());

        HostedServices.Check(services, [typeof(First)], new Dictionary<string, string> { [nameof(Second)] = "not needed" });
        var unnamed = Assert.Throws<InvalidOperationException>(() => HostedServices.Check(services, [typeof(First)], new Dictionary<string, string>()));
        Assert.Contains(nameof(Second), unnamed.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void WhatIsNamedAndNotRegisteredIsAnError()
    {
        var services = new ServiceCollection().AddHostedService<First>();

        Assert.Throws<InvalidOperationException>(() => HostedServices.Check(services, [typeof(First), typeof(Second)], new Dictionary<string, string>()));
        Assert.Throws<InvalidOperationException>(() => HostedServices.Check(services, [typeof(First)], new Dictionary<string, string> { [nameof(Second)] = "gone" }));
    }

    private sealed class First : BackgroundService
    {
        protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.CompletedTask;
    }

    private sealed class Second : BackgroundService
    {
        protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.CompletedTask;
    }
}
