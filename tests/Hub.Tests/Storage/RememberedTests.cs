using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>What is kept until somebody writes.</summary>
public sealed class RememberedTests
{
    [Fact]
    public async Task WhatHoldsIsReadOnceUntilSomebodyWroteAndWhatDoesNotHoldEachTime()
    {
        using var folder = new TempFolder();
        var settings = new HubSettings { DataFolder = folder.Path };
        await using var services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddSingleton(settings).AddStorage(settings).BuildServiceProvider();
        StorageRegistration.Prepare(services);
        var (log, read, token) = (services.GetRequiredService<IEventLog>(), 0, TestContext.Current.CancellationToken);
        await log.Append(new AppendRows { Audit = [new AuditText("kept", 1, "{}")] }, token);
        var (whole, broken) = (new Remembered<string>(log, _ => true), new Remembered<string>(log, _ => false));

        await Read(whole, 1);
        await Read(whole, 1);
        log.Wrote();
        await Read(whole, 2);
        whole.Forget();
        await Read(whole, 3);
        await Read(broken, 4);
        await Read(broken, 5);

        async Task Read(Remembered<string> remembered, int readings)
        {
            Assert.Equal("read", await remembered.Get(_ => Task.FromResult(Counted()), token));
            Assert.Equal(readings, read);
        }

        string Counted()
        {
            read++;
            return "read";
        }
    }
}
